#pragma once
// One watcher on its WebSocket.

#include <boost/asio/awaitable.hpp>
#include <boost/beast/core/tcp_stream.hpp>
#include <boost/beast/http/message.hpp>
#include <boost/beast/http/string_body.hpp>

#include "bench/live/asked.hpp"
#include "bench/live/http_server_state.hpp"

namespace sagbench::live {

/// Takes the connection over from HTTP and serves it to its end. Precondition: the peer may see the
/// run.
boost::asio::awaitable<void> serve_watcher(
    boost::beast::tcp_stream stream,
    boost::beast::http::request<boost::beast::http::string_body> upgrade, AskedLive asked,
    ServerState state);

}  // namespace sagbench::live
