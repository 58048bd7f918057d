#include "bench/live/http_request.hpp"

#include <boost/beast/http/error.hpp>
#include <boost/beast/websocket/rfc6455.hpp>
#include <string>

#include "bench/live/listen_address.hpp"

namespace sagbench::live {
namespace {

namespace beast = boost::beast;
namespace http = beast::http;

std::string text_of(beast::string_view view) {
  return {view.data(), view.size()};
}

std::optional<std::string> field(const HttpRequest& request, http::field name) {
  const auto found = request.find(name);
  return found == request.end() ? std::nullopt : std::optional(text_of(found->value()));
}

}  // namespace

void bound(HttpParser& parser) {
  parser.header_limit(kLongestHeader);
  parser.body_limit(kLongestBody);
}

Request picked_out(const HttpRequest& from, const boost::asio::ip::address& peer) {
  Request request;
  request.method = text_of(from.method_string());
  request.target = text_of(from.target());
  const bool one_host = from.count(http::field::host) == 1;
  request.host = one_host ? text_of(from[http::field::host]) : "";
  request.origin = field(from, http::field::origin);
  request.fetch_site = field(from, http::field::sec_fetch_site);
  request.authorization = text_of(from[http::field::authorization]);
  request.content_type = text_of(from[http::field::content_type]);
  request.protocols = text_of(from[http::field::sec_websocket_protocol]);
  request.upgrade = beast::websocket::is_upgrade(from);
  request.body = from.body();
  request.peer = plain_address(peer);
  return request;
}

std::optional<Reply> reply_to_bad_bytes(const boost::system::error_code& error) {
  constexpr int kBadRequest = 400, kTooLarge = 413;
  const bool of_http = error.category() == make_error_code(http::error::bad_method).category();
  if (!of_http || error == http::error::end_of_stream || error == http::error::partial_message)
    return std::nullopt;
  if (error == http::error::body_limit || error == http::error::header_limit ||
      error == http::error::buffer_overflow)
    return refusal_reply(kTooLarge, "the request is too large");
  return refusal_reply(kBadRequest, "that is no request of HTTP");
}

}  // namespace sagbench::live
