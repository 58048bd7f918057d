#pragma once
// Bytes of HTTP to a request: how much is taken in, what of it counts, what is answered to bytes
// that are none. Only for files that speak HTTP themselves: it brings Boost.Beast along.

#include <boost/asio/ip/address.hpp>
#include <boost/beast/http/message.hpp>
#include <boost/beast/http/parser.hpp>
#include <boost/beast/http/string_body.hpp>
#include <cstdint>
#include <optional>

#include "bench/live/reply.hpp"
#include "bench/live/request.hpp"

namespace sagbench::live {

using HttpRequest = boost::beast::http::request<boost::beast::http::string_body>;
using HttpParser = boost::beast::http::request_parser<boost::beast::http::string_body>;

inline constexpr std::uint32_t kLongestHeader = 8192;
inline constexpr std::uint64_t kLongestBody = 1024;

/// Before the first byte. What is longer than both of the above is an error of the parser.
void bound(HttpParser& parser);

/// `peer`: who sent it.
Request picked_out(const HttpRequest& from, const boost::asio::ip::address& peer);

/// The status is 400 or 413; absent where nobody is left to be told, or the fault is not HTTP's.
std::optional<Reply> reply_to_bad_bytes(const boost::system::error_code& error);

}  // namespace sagbench::live
