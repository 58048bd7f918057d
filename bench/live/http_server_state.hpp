#pragma once
// What all connections of a server share, and what one of them is. Boost.Beast stays behind here.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <memory>

#include "bench/live/http_server.hpp"
#include "bench/live/request_rate.hpp"

namespace sagbench::live {

/// On the event loop's thread.
struct HttpServer::State {
  State(boost::asio::io_context& io, LiveService& live) : acceptor(io), service(&live) {}

  boost::asio::ip::tcp::acceptor acceptor;
  ListenAddress address;
  AccessRules rules;
  RequestRate rate{8.0, 40.0};         // of what holds data, each address
  RequestRate page_rate{60.0, 400.0};  // of the page's own files, which are many
  LiveService* service;                // null once the server is closed
  std::size_t connections = 0;
};

using ServerState = std::shared_ptr<HttpServer::State>;

/// Requests of one connection until its end, which every silence has.
boost::asio::awaitable<void> serve_connection(boost::asio::ip::tcp::socket socket,
                                              ServerState state);

}  // namespace sagbench::live
