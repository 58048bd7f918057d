#include "bench/live/http_server.hpp"

#include <fmt/format.h>

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/ip/host_name.hpp>
#include <boost/asio/ip/v6_only.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <chrono>

#include "bench/files/input_error.hpp"
#include "bench/live/http_server_state.hpp"
#include "bench/live/token.hpp"
#include "drivers/own_address.hpp"

namespace sagbench::live {
namespace {

using boost::asio::awaitable;
using boost::asio::ip::tcp;
using boost::system::error_code;

constexpr std::size_t kMostConnections = LiveFeed::kMostWatchers + 64;
constexpr auto kAfterFailure = std::chrono::milliseconds(200);

std::string own_name() {
  error_code unknown;
  return boost::asio::ip::host_name(unknown);
}

void listen(tcp::acceptor& acceptor, const std::string& option, const ListenAddress& address) {
  const tcp::endpoint endpoint(address.address, address.port);
  error_code error;
  acceptor.open(endpoint.protocol(), error);
  if (!error) drivers::ask_for_own_address(acceptor, error);
  if (!error && address.address.is_v6() && address.address.is_unspecified())
    acceptor.set_option(boost::asio::ip::v6_only(false), error);
  if (!error) acceptor.bind(endpoint, error);
  if (!error) acceptor.listen(tcp::acceptor::max_listen_connections, error);
  if (!error) return;
  throw bench::InputError(fmt::format(
      "{}: {} cannot be served: {}; a free port and an address of this computer are accepted",
      option, host_text(address.address, address.port), error.message()));
}

awaitable<void> connection(tcp::socket socket, ServerState state) {
  ++state->connections;
  try {
    co_await serve_connection(std::move(socket), state);
  } catch (const std::exception&) {
    // A peer's doing, or no memory for it: it is gone with its connection, the run goes on.
    --state->connections;
    co_return;
  }
  --state->connections;
}

awaitable<void> accept_all(ServerState state) {
  boost::asio::steady_timer pause(state->acceptor.get_executor());
  for (;;) {
    error_code error;
    tcp::socket socket = co_await state->acceptor.async_accept(
        boost::asio::redirect_error(boost::asio::use_awaitable, error));
    if (state->service == nullptr) co_return;
    if (error) {  // no descriptors left, for instance
      error_code ignored;
      pause.expires_after(kAfterFailure);
      co_await pause.async_wait(boost::asio::redirect_error(boost::asio::use_awaitable, ignored));
      continue;
    }
    if (state->connections >= kMostConnections) continue;  // closed with the socket
    boost::asio::co_spawn(state->acceptor.get_executor(), connection(std::move(socket), state),
                          boost::asio::detached);
  }
}

}  // namespace

HttpServer::HttpServer(boost::asio::io_context& io, const std::string& option,
                       const ListenAddress& address, LiveService& service)
    : state_(std::make_shared<State>(io, service)) {
  listen(state_->acceptor, option, address);
  state_->address = {address.address, state_->acceptor.local_endpoint().port()};
  state_->rules.port = state_->address.port;
  state_->rules.own_name = own_name();
  if (!is_loopback(address.address)) state_->rules.token = make_token();
  boost::asio::co_spawn(io, accept_all(state_), boost::asio::detached);
}

HttpServer::~HttpServer() {
  close();
}

void HttpServer::close() {
  state_->service = nullptr;
  error_code ignored;
  state_->acceptor.close(ignored);
}

const ListenAddress& HttpServer::address() const noexcept {
  return state_->address;
}

const std::string& HttpServer::token() const noexcept {
  return state_->rules.token;
}

}  // namespace sagbench::live
