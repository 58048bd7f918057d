#include "bench/live/watcher_socket.hpp"

#include <boost/asio/buffer.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/socket_base.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/websocket.hpp>
#include <chrono>
#include <utility>

namespace sagbench::live {
namespace {

using boost::asio::awaitable;
using boost::system::error_code;
namespace beast = boost::beast;
namespace http = beast::http;
namespace websocket = beast::websocket;

constexpr std::size_t kLongestMessage = 1024;
constexpr int kMostMessages = 10;
constexpr double kControlsAtOnce = 20.0, kControlsASecond = 2.0;
constexpr int kSendBuffer = 64 * 1024;  // what a slow peer may keep in the system's memory
constexpr const char* kProtocol = "sagbench.1";

class WatcherSocket final : public Outlet, public std::enable_shared_from_this<WatcherSocket> {
 public:
  explicit WatcherSocket(beast::tcp_stream stream) : socket_(std::move(stream)) {}

  awaitable<bool> accept(const http::request<http::string_body>& upgrade) {
    error_code error;
    beast::get_lowest_layer(socket_).expires_never();
    beast::get_lowest_layer(socket_).socket().set_option(
        boost::asio::socket_base::send_buffer_size(kSendBuffer), error);
    auto timeout = websocket::stream_base::timeout::suggested(beast::role_type::server);
    timeout.handshake_timeout = std::chrono::seconds(5);
    timeout.idle_timeout = websocket::stream_base::none();  // slowness is told by writes
    socket_.set_option(timeout);
    const bool named =
        upgrade[http::field::sec_websocket_protocol].find(kProtocol) != beast::string_view::npos;
    socket_.set_option(websocket::stream_base::decorator([named](websocket::response_type& reply) {
      if (named) reply.set(http::field::sec_websocket_protocol, kProtocol);
    }));
    socket_.read_message_max(kLongestMessage);
    socket_.text(true);
    co_await socket_.async_accept(upgrade,
                                  boost::asio::redirect_error(boost::asio::use_awaitable, error));
    co_return !error;
  }

  /// Until the peer or we end it. It has nothing to say but that it lives.
  awaitable<void> read() {
    socket_.control_callback(
        [this](websocket::frame_type, beast::string_view) { count_control(); });
    beast::flat_buffer buffer;
    for (int messages = 0; messages < kMostMessages; ++messages) {
      error_code error;
      co_await socket_.async_read(buffer,
                                  boost::asio::redirect_error(boost::asio::use_awaitable, error));
      if (error) co_return;
      buffer.clear();
    }
  }

  bool idle() const override { return waiting_.empty(); }

  void send(std::vector<Message> messages) override {
    waiting_ = std::move(messages);
    sent_ = 0;
    send_next();
  }

  void drop() override {
    error_code ignored;
    beast::get_lowest_layer(socket_).socket().close(ignored);
  }

 private:
  void send_next() {
    socket_.async_write(
        boost::asio::buffer(*waiting_[sent_]),
        [self = shared_from_this()](error_code error, std::size_t) { self->was_sent(!error); });
  }

  void was_sent(bool well) {
    if (!well) return drop();  // the reader ends with it
    if (++sent_ < waiting_.size()) return send_next();
    waiting_.clear();
  }

  void count_control() {
    using Seconds = std::chrono::duration<double>;
    const auto now = std::chrono::steady_clock::now();
    ++controls_;
    const double allowed = kControlsAtOnce + kControlsASecond * Seconds(now - began_).count();
    if (controls_ > allowed) drop();
  }

  websocket::stream<beast::tcp_stream> socket_;
  std::vector<Message> waiting_;
  std::size_t sent_ = 0;
  double controls_ = 0.0;
  std::chrono::steady_clock::time_point began_ = std::chrono::steady_clock::now();
};

}  // namespace

awaitable<void> serve_watcher(beast::tcp_stream stream, http::request<http::string_body> upgrade,
                              AskedLive asked, ServerState state) {
  const auto watcher = std::make_shared<WatcherSocket>(std::move(stream));
  const bool accepted = co_await watcher->accept(upgrade);
  if (!accepted || state->service == nullptr) co_return;
  if (!state->service->feed().follow(watcher, asked.since_s, asked.run)) co_return;
  co_await watcher->read();
  watcher->drop();
  if (state->service != nullptr) state->service->feed().leave(*watcher);
}

}  // namespace sagbench::live
