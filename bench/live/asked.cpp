#include "bench/live/asked.hpp"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <string_view>

#include "bench/live/request_target.hpp"
#include "reports/run_id.hpp"

namespace sagbench::live {
namespace {

constexpr int kBadRequest = 400, kNotFound = 404, kMethodNotAllowed = 405;

using Answer = std::variant<Asked, Refusal>;

Refusal bad(std::string why) {
  return {kBadRequest, std::move(why)};
}

/// The whole text, a finite number.
template <class Number>
std::optional<Number> number_from(std::string_view text) {
  Number number{};
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (text.empty() || error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  if (!std::isfinite(static_cast<double>(number))) return std::nullopt;
  return number;
}

/// Absent stays absent; false where it is there and no number from `least` to `most`.
template <class Number>
bool take(const RequestTarget& target, const char* name, Number least, Number most,
          std::optional<Number>& into) {
  const auto text = target.value(name);
  if (!text) return true;
  into = number_from<Number>(*text);
  return into && *into >= least && *into <= most;
}

constexpr double kLongest_s = 1e9;

Answer runs(const RequestTarget& target) {
  AskedRuns asked;
  asked.pack = target.value("pack").value_or("");
  asked.chemistry = target.value("chemistry").value_or("");
  asked.since = target.value("since").value_or("");
  asked.until = target.value("until").value_or("");
  asked.end = target.value("end").value_or("");
  std::optional<std::size_t> limit;
  if (!take<std::size_t>(target, "limit", 1, asked.limit, limit))
    return bad(fmt::format("limit: a number from 1 to {} is accepted", asked.limit));
  asked.limit = limit.value_or(asked.limit);
  return asked;
}

Answer history(const RequestTarget& target, std::string run) {
  AskedHistory asked;
  asked.run = std::move(run);
  std::optional<int> columns;
  if (!take(target, "from", 0.0, kLongest_s, asked.from_s) ||
      !take(target, "to", 0.0, kLongest_s, asked.to_s))
    return bad("from, to: seconds since the run's start are accepted");
  if (!take(target, "columns", 1, kMostColumns, columns))
    return bad(fmt::format("columns: a number from 1 to {} is accepted", kMostColumns));
  asked.columns = columns.value_or(asked.columns);
  return asked;
}

Answer comparison(const RequestTarget& target) {
  AskedComparison asked;
  for (const auto& [name, value] : target.query)
    if (name == "run") asked.runs.push_back(value);
  if (asked.runs.size() < 2 || asked.runs.size() > kMostCompared)
    return bad(fmt::format("run: 2 to {} of them are accepted", kMostCompared));
  for (const std::string& run : asked.runs)
    if (!reports::is_run_id(run)) return bad("run: ids of runs are accepted");
  return asked;
}

Answer live(const Request& request, const RequestTarget& target) {
  if (!request.upgrade) return bad("/api/live is a WebSocket");
  AskedLive asked;
  if (!take(target, "since", 0.0, kLongest_s, asked.since_s))
    return bad("since: seconds since the run's start are accepted");
  asked.run = target.value("run").value_or("");
  if (!asked.run.empty() && !reports::is_run_id(asked.run))
    return bad("run: the id of a run is accepted");
  return asked;
}

/// What lies below "/api/runs/".
Answer of_run(const RequestTarget& target, std::string_view rest) {
  const auto slash = std::min(rest.find('/'), rest.size());
  const std::string run(rest.substr(0, slash));
  const std::string_view what = rest.substr(slash);
  if (!reports::is_run_id(run)) return Refusal{kNotFound, "there is no such run"};
  if (what.empty()) return AskedFigures{run};
  if (what == "/history") return history(target, run);
  if (what == "/report.pdf") return AskedReport{run};
  return Refusal{kNotFound, "there is nothing under that name"};
}

Answer read(const Request& request, const RequestTarget& target) {
  constexpr std::string_view kRuns = "/api/runs/";
  const std::string_view path = target.path;
  if (path == "/api/now") return AskedNow{};
  if (path == "/api/runs") return runs(target);
  if (path.starts_with(kRuns)) return of_run(target, path.substr(kRuns.size()));
  if (path == "/api/compare") return comparison(target);
  if (path == "/api/live") return live(request, target);
  if (path == "/api" || path.starts_with("/api/"))
    return Refusal{kNotFound, "there is nothing under that name"};
  return AskedPage{target.path};
}

bool is_stop(std::string_view body) {
  std::string bare;
  for (const char c : body)
    if (c != ' ' && c != '\n' && c != '\r' && c != '\t') bare += c;
  return bare == R"({"stop":true})";
}

}  // namespace

std::variant<Asked, Refusal> asked_by(const Request& request) {
  const auto target = parse_target(request.target);
  if (!target) return bad("that is no path with a query");
  const bool stop = target->path == "/api/stop";
  if (request.method == "POST" && stop) {
    if (!is_stop(request.body)) return bad(R"(the body must be {"stop": true})");
    return AskedStop{};
  }
  const bool reads = request.method == "GET" || request.method == "HEAD";
  if (!reads || stop)
    return Refusal{kMethodNotAllowed, stop ? "POST is accepted" : "GET is accepted"};
  return read(request, *target);
}

}  // namespace sagbench::live
