#include <boost/asio/ip/tcp.hpp>
#include <optional>

#include "drivers/own_address.hpp"
#include "drivers/virtual/scpi_conversation.hpp"
#include "drivers/virtual/scpi_server.hpp"

namespace sagbench::drivers::virtual_bench {
namespace {

using boost::asio::ip::tcp;

class TcpServer final : public ScpiServer {
 public:
  TcpServer(tcp::acceptor acceptor, Clock& clock, VirtualInstrument& instrument)
      : acceptor_(std::move(acceptor)),
        clock_(clock),
        instrument_(instrument),
        address_("tcp:127.0.0.1:" + std::to_string(acceptor_.local_endpoint().port())) {}

  const std::string& address() const noexcept override { return address_; }

  boost::asio::awaitable<void> run() override {
    constexpr auto kNoThrow = boost::asio::as_tuple(boost::asio::use_awaitable);
    while (acceptor_.is_open()) {
      auto [failure, socket] = co_await acceptor_.async_accept(kNoThrow);
      if (failure == boost::asio::error::operation_aborted) co_return;
      if (failure == boost::asio::error::connection_aborted) continue;
      if (failure) throw boost::system::system_error(failure, address_);
      client_.emplace(std::move(socket));
      boost::system::error_code ignored;  // slower without, but not wrong
      client_->set_option(tcp::no_delay(true), ignored);
      co_await ScpiConversation<tcp::socket>(*client_, clock_, instrument_).run();
      instrument_.forget_half_line();
    }
  }

  void stop() noexcept override {
    boost::system::error_code ignored;  // what is closed already stays closed
    acceptor_.close(ignored);
    if (client_) client_->close(ignored);
  }

 private:
  tcp::acceptor acceptor_;
  Clock& clock_;
  VirtualInstrument& instrument_;
  std::string address_;
  std::optional<tcp::socket> client_;
};

}  // namespace

Result<std::unique_ptr<ScpiServer>> ScpiServer::tcp(boost::asio::io_context& io, Clock& clock,
                                                    VirtualInstrument& instrument,
                                                    std::uint16_t port) {
  const boost::asio::ip::tcp::endpoint endpoint(boost::asio::ip::address_v4::loopback(), port);
  boost::asio::ip::tcp::acceptor acceptor(io);
  boost::system::error_code failure;
  acceptor.open(endpoint.protocol(), failure);
  if (!failure) ask_for_own_address(acceptor, failure);
  if (!failure) acceptor.bind(endpoint, failure);
  if (!failure) acceptor.listen(boost::asio::socket_base::max_listen_connections, failure);
  if (failure) {
    return Error{ErrorKind::caller, "cannot serve on tcp:127.0.0.1:" + std::to_string(port) + ": " +
                                        failure.message()};
  }
  return std::unique_ptr<ScpiServer>(
      std::make_unique<TcpServer>(std::move(acceptor), clock, instrument));
}

}  // namespace sagbench::drivers::virtual_bench
