#include "drivers/tcp_transport.hpp"

#include <boost/asio/connect.hpp>
#include <utility>
#include <vector>

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;

/// A look-up under way: it runs on in the background when nobody waits for it any more.
struct LookUp : PendingOperation {
  explicit LookUp(const asio::any_io_executor& executor) : resolver(executor) {}
  tcp::resolver resolver;
  std::vector<tcp::endpoint> found;
};

void set_up(tcp::socket& socket) {
  boost::system::error_code ignored;  // without these the line still works
  socket.set_option(tcp::no_delay(true), ignored);
  socket.set_option(tcp::socket::keep_alive(true), ignored);
}

}  // namespace

TcpTransport::TcpTransport(const asio::any_io_executor& executor, Clock& clock, std::string name,
                           std::string host, std::string service)
    : StreamTransport(executor, clock, std::move(name)),
      host_(std::move(host)),
      service_(std::move(service)) {}

asio::awaitable<Result<void>> TcpTransport::open(Time deadline) {
  close();
  const Line line = this->line();
  const auto look_up = std::make_shared<LookUp>(line->stream.get_executor());
  look_up->resolver.async_resolve(
      host_, service_,
      [line, look_up](boost::system::error_code failure, const tcp::resolver::results_type& found) {
        for (const auto& entry : found) look_up->found.push_back(entry.endpoint());
        Finish{line, look_up}(failure);
      });
  const bool looked_up = co_await over_by(line, look_up, deadline);
  if (!looked_up) {
    co_return failed(*line, ErrorKind::timeout, "the host name was not found in time");
  }
  if (look_up->failure) {
    co_return failed(*line, ErrorKind::disconnected, look_up->failure.message());
  }
  const auto connection = std::make_shared<PendingOperation>();
  asio::async_connect(
      line->stream, look_up->found,
      [finish = Finish{line, connection}, look_up](boost::system::error_code failure,
                                                   const tcp::endpoint&) { finish(failure); });
  const Result<void> connected = co_await finish(line, connection, deadline);
  if (connected) {
    set_up(line->stream);
    co_return connected;
  }
  shut(*line);
  if (connected.error().kind == ErrorKind::timeout) {
    co_return failed(*line, ErrorKind::timeout, "no connection in time");
  }
  co_return connected;
}

}  // namespace sagbench::drivers
