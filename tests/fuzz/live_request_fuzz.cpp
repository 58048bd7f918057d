// What a peer asks of the live page, from the bytes on: its first line, its fields, its body.

#include <algorithm>
#include <boost/asio/buffer.hpp>
#include <boost/beast/http/error.hpp>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "bench/live/access.hpp"
#include "bench/live/asked.hpp"
#include "bench/live/http_request.hpp"
#include "promise.hpp"
#include "reports/run_id.hpp"

namespace sagbench::fuzz {
namespace {

using namespace live;

const AccessRules kRules{"abcdefghijklmnopqrstuvwxyz", "shack", 8073};

/// As a connection reads it, so many bytes at a time.
struct Came {
  std::optional<HttpRequest> request;  // absent: it is not whole, or none
  boost::system::error_code error;
};

Came came(std::string_view bytes, std::size_t piece) {
  namespace http = boost::beast::http;
  HttpParser parser;
  bound(parser);
  parser.eager(true);
  std::string waiting;
  while (!parser.is_done()) {
    boost::system::error_code error;
    const std::size_t used = parser.put(boost::asio::buffer(waiting), error);
    waiting.erase(0, used);
    if (error && error != http::error::need_more) return {std::nullopt, error};
    if (used > 0 && !error) continue;
    if (bytes.empty()) return {};
    waiting += bytes.substr(0, piece);
    bytes.remove_prefix(std::min(piece, bytes.size()));
  }
  return {parser.release(), {}};
}

/// Who sends it cuts it where he likes: the request is the same.
void check_pieces(const Came& whole, const Came& cut) {
  promise(whole.request.has_value() == cut.request.has_value(), "pieces make the same request");
  if (!whole.request) return;
  promise(whole.request->target() == cut.request->target(), "pieces make the same target");
  promise(whole.request->body() == cut.request->body(), "pieces make the same body");
}

void check_bad_bytes(const boost::system::error_code& error) {
  const auto reply = reply_to_bad_bytes(error);
  if (reply)
    promise(reply->status == 400 || reply->status == 413, "bad bytes are the peer's fault");
}

void check_run(const std::string& run) {
  promise(reports::is_run_id(run), "a run that is asked for has the form of an id");
}

struct Check {
  const Request& request;

  void operator()(const AskedPage& page) const {
    promise(page.path.starts_with('/'), "a page is a path");
    promise(page.path != "/api" && !page.path.starts_with("/api/"), "data is no page");
  }
  void operator()(const AskedNow&) const {}
  void operator()(const AskedRuns& runs) const {
    promise(runs.limit >= 1 && runs.limit <= 1000, "a list is bounded");
  }
  void operator()(const AskedFigures& figures) const { check_run(figures.run); }
  void operator()(const AskedHistory& history) const {
    check_run(history.run);
    promise(history.columns >= 1 && history.columns <= kMostColumns, "columns are bounded");
    promise(!history.from_s || *history.from_s >= 0.0, "a stretch begins in the run");
    promise(!history.to_s || *history.to_s <= 1e9, "a stretch ends");
  }
  void operator()(const AskedReport& report) const { check_run(report.run); }
  void operator()(const AskedComparison& comparison) const {
    promise(comparison.runs.size() >= 2 && comparison.runs.size() <= kMostCompared, "few runs");
    for (const std::string& run : comparison.runs) check_run(run);
  }
  void operator()(const AskedStop&) const {
    promise(request.method == "POST", "nothing but a POST changes anything");
  }
  void operator()(const AskedLive& watched) const {
    promise(request.upgrade, "the WebSocket is one");
    if (!watched.run.empty()) check_run(watched.run);
  }
};

void check_refusal(const std::optional<Refusal>& refusal) {
  if (!refusal) return;
  promise(refusal->status >= 400 && refusal->status < 500, "a refusal is the peer's fault");
  promise_one_line(refusal->why);
}

/// Whatever else is said, the whole token must have been.
void check_access(const Request& request) {
  check_refusal(refused_by_origin(request, kRules));
  check_refusal(refused_by_token(request, kRules));
  check_refusal(refused_to_change(request));
  const auto holds = [](const std::string& text) {
    return text.find(kRules.token) != std::string::npos;
  };
  if (has_token(request, kRules))
    promise(holds(request.authorization) || holds(request.protocols), "no token, no entry");
  if (!refused_by_token(request, kRules))
    promise(is_local(request) || has_token(request, kRules), "strangers are refused");
}

void check(const Request& request) {
  promise(request.body.size() <= kLongestBody, "a body is short");
  const auto asked = asked_by(request);
  if (const auto* refusal = std::get_if<Refusal>(&asked))
    check_refusal(*refusal);
  else
    std::visit(Check{request}, std::get<Asked>(asked));
  check_access(request);
}

}  // namespace
}  // namespace sagbench::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace sagbench;
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const fuzz::Came whole = fuzz::came(bytes, std::max<std::size_t>(size, 1));
  // Where it is too long is judged by what has come at once: a few bytes sooner or later.
  if (size <= live::kLongestHeader) fuzz::check_pieces(whole, fuzz::came(bytes, 7));
  fuzz::check_bad_bytes(whole.error);
  if (!whole.request) return 0;
  for (const char* peer : {"127.0.0.1", "192.168.1.7"})
    fuzz::check(live::picked_out(*whole.request, boost::asio::ip::make_address(peer)));
  return 0;
}
