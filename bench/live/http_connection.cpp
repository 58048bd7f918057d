// One connection: requests in turn, each within its time and size.

#include <array>
#include <boost/asio/buffer.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/core/tcp_stream.hpp>
#include <boost/beast/http.hpp>
#include <chrono>
#include <cstddef>

#include "bench/live/http_request.hpp"
#include "bench/live/http_server_state.hpp"
#include "bench/live/page_files.hpp"
#include "bench/live/steady_seconds.hpp"
#include "bench/live/watcher_socket.hpp"

namespace sagbench::live {
namespace {

using boost::asio::awaitable;
using boost::system::error_code;
namespace beast = boost::beast;
namespace http = beast::http;

using HttpResponse = http::response<http::string_body>;

constexpr auto kForRequest = std::chrono::seconds(5);
constexpr auto kIdle = std::chrono::seconds(30);
constexpr auto kForReply = std::chrono::seconds(60);
constexpr int kNotModified = 304, kNotFound = 404, kTooMany = 429;

/// `local`: for a browser on this computer. Others distrust the plain address and would only
/// complain of what they cannot obey.
void protect(HttpResponse& response, bool local) {
  response.set("Content-Security-Policy",
               "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: "
               "blob:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors "
               "'none'");
  response.set("X-Content-Type-Options", "nosniff");
  response.set("Referrer-Policy", "no-referrer");
  response.set("Cross-Origin-Resource-Policy", "same-origin");
  if (local) response.set("Cross-Origin-Opener-Policy", "same-origin");
}

HttpResponse response_of(const HttpRequest& request, bool local, Reply reply) {
  const bool known = !reply.etag.empty() && request[http::field::if_none_match] == reply.etag;
  HttpResponse response(static_cast<http::status>(known ? kNotModified : reply.status),
                        request.version());
  protect(response, local);
  response.set(http::field::content_type, reply.type);
  response.set(http::field::cache_control, reply.etag.empty() ? "no-store" : "no-cache");
  if (!reply.etag.empty()) response.set(http::field::etag, reply.etag);
  if (!reply.attached_as.empty())
    response.set(http::field::content_disposition,
                 "attachment; filename=\"" + reply.attached_as + "\"");
  response.keep_alive(request.keep_alive());
  if (!known) response.body() = std::move(reply.body);
  response.prepare_payload();
  if (request.method() == http::verb::head) response.body().clear();
  return response;
}

Reply page_reply(const std::string& path) {
  const auto file = page_file(path);
  if (!file) return refusal_reply(kNotFound, "there is nothing under that name");
  Reply reply;
  reply.type = file->type;
  reply.body = file->bytes;
  reply.etag = file->etag;
  return reply;
}

/// A request that was read, judged: what is to be done with it.
struct Judged {
  std::optional<Asked> asked;  // absent: `reply` says why not
  Reply reply;
};

Judged refused(const Refusal& refusal) {
  return {std::nullopt, refusal_reply(refusal.status, refusal.why)};
}

Judged judge(const Request& request, HttpServer::State& state) {
  const std::string peer = request.peer.to_string();
  std::variant<Asked, Refusal> asked = asked_by(request);
  const auto* wanted = std::get_if<Asked>(&asked);
  const bool page = wanted != nullptr && std::holds_alternative<AskedPage>(*wanted);
  // The page's own files are many, small, and in memory.
  RequestRate& rate = page ? state.page_rate : state.rate;
  if (!rate.admit(peer, steady_s())) return refused({kTooMany, "too many requests; wait a moment"});
  if (const auto refusal = refused_by_origin(request, state.rules)) return refused(*refusal);
  if (page) return {*wanted, {}};
  if (const auto refusal = refused_by_token(request, state.rules)) {
    state.rate.punish(peer, steady_s());
    return refused(*refusal);
  }
  if (wanted == nullptr) return refused(std::get<Refusal>(asked));
  if (std::holds_alternative<AskedStop>(*wanted))
    if (const auto refusal = refused_to_change(request)) return refused(*refusal);
  return {*wanted, {}};
}

awaitable<bool> write_response(beast::tcp_stream& stream, HttpResponse response) {
  error_code error;
  stream.expires_after(kForReply);
  co_await http::async_write(stream, response,
                             boost::asio::redirect_error(boost::asio::use_awaitable, error));
  co_return !error && response.keep_alive();
}

/// The first bytes of a request may be long in coming, the rest not.
awaitable<error_code> read_request(beast::tcp_stream& stream, beast::flat_buffer& buffer,
                                   bool first, HttpParser& parser) {
  error_code error;
  if (buffer.size() == 0) {
    constexpr std::size_t kAtOnce = 2048;
    stream.expires_after(first ? std::chrono::seconds(kForRequest) : kIdle);
    const std::size_t count = co_await stream.async_read_some(
        buffer.prepare(kAtOnce), boost::asio::redirect_error(boost::asio::use_awaitable, error));
    if (error) co_return error;
    buffer.commit(count);
  }
  stream.expires_after(kForRequest);
  co_await http::async_read(stream, buffer, parser,
                            boost::asio::redirect_error(boost::asio::use_awaitable, error));
  co_return error;
}

/// The peer may be sending still: closed at once, the system would take back what it was answered.
awaitable<void> leave_after_reply(beast::tcp_stream& stream) {
  constexpr auto kPatience = std::chrono::seconds(1);
  std::array<char, 4096> unwanted{};
  error_code error;
  stream.socket().shutdown(boost::asio::ip::tcp::socket::shutdown_send, error);
  stream.expires_after(kPatience);
  while (!error)
    co_await stream.async_read_some(boost::asio::buffer(unwanted),
                                    boost::asio::redirect_error(boost::asio::use_awaitable, error));
}

}  // namespace

awaitable<void> serve_connection(boost::asio::ip::tcp::socket socket, ServerState state) {
  error_code error;
  const auto peer = socket.remote_endpoint(error).address();
  if (error) co_return;
  beast::tcp_stream stream(std::move(socket));
  beast::flat_buffer buffer(std::size_t{2} * kLongestHeader);
  for (bool first = true;; first = false) {
    HttpParser parser;
    bound(parser);
    const error_code unread = co_await read_request(stream, buffer, first, parser);
    if (unread) {
      std::optional<Reply> reply = reply_to_bad_bytes(unread);
      if (!reply) co_return;
      HttpRequest unknown;
      unknown.keep_alive(false);
      co_await write_response(stream, response_of(unknown, is_loopback(peer), *std::move(reply)));
      co_await leave_after_reply(stream);
      co_return;
    }
    const HttpRequest request = parser.release();
    Judged judged = judge(picked_out(request, peer), *state);
    if (state->service == nullptr) co_return;
    if (judged.asked) {
      if (const auto* live = std::get_if<AskedLive>(&*judged.asked)) {
        co_await serve_watcher(std::move(stream), request, *live, state);
        co_return;
      }
      if (const auto* page = std::get_if<AskedPage>(&*judged.asked)) {
        judged.reply = page_reply(page->path);
      } else {
        judged.reply = co_await state->service->answer(*judged.asked);
      }
    }
    const bool more = co_await write_response(
        stream, response_of(request, is_loopback(peer), std::move(judged.reply)));
    if (!more) co_return;
  }
}

}  // namespace sagbench::live
