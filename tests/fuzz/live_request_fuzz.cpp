// What a peer asks of the live page: its first line, its fields, its body.

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "bench/live/access.hpp"
#include "bench/live/asked.hpp"
#include "promise.hpp"
#include "reports/run_id.hpp"

namespace sagbench::fuzz {
namespace {

using namespace live;

const AccessRules kRules{"abcdefghijklmnopqrstuvwxyz", "shack", 8073};

/// Up to the next line's end, which is taken away.
std::string line(std::string_view& text) {
  const auto end = std::min(text.find('\n'), text.size());
  std::string result(text.substr(0, end));
  text.remove_prefix(std::min(end + 1, text.size()));
  return result;
}

/// One thing a line; what is missing is empty.
Request request_of(std::string_view text) {
  Request request;
  const std::string flags = line(text);
  request.upgrade = flags.find('u') != std::string::npos;
  const bool local = flags.find('l') != std::string::npos;
  request.peer = boost::asio::ip::make_address(local ? "127.0.0.1" : "192.168.1.7");
  request.method = line(text);
  request.target = line(text);
  request.host = line(text);
  if (flags.find('o') != std::string::npos) request.origin = line(text);
  if (flags.find('f') != std::string::npos) request.fetch_site = line(text);
  request.authorization = line(text);
  request.protocols = line(text);
  request.content_type = line(text);
  request.body = text;
  return request;
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

}  // namespace
}  // namespace sagbench::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace sagbench;
  const live::Request request = fuzz::request_of({reinterpret_cast<const char*>(data), size});
  const auto asked = live::asked_by(request);
  if (const auto* refusal = std::get_if<live::Refusal>(&asked))
    fuzz::check_refusal(*refusal);
  else
    std::visit(fuzz::Check{request}, std::get<live::Asked>(asked));
  fuzz::check_access(request);
  return 0;
}
