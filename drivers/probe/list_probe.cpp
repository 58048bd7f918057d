#include "drivers/probe/list_probe.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <span>
#include <string>
#include <utility>

#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

class ListProbe {
 public:
  ListProbe(ProbeTries& tries, ProbeFindings& findings)
      : tries_(tries), findings_(findings), dialect_(findings.dialect) {}

  asio::awaitable<Result<void>> run();

 private:
  asio::awaitable<Result<bool>> knows(std::string header);
  asio::awaitable<Result<void>> find_list_limits();

  void unknown(std::string what) { findings_.unknown.push_back(std::move(what)); }

  ProbeTries& tries_;
  ProbeFindings& findings_;
  Dialect& dialect_;
};

/// SCPI-1999 Vol. 2, 19.12 (SOURce:LIST). Nothing is triggered, so that the words which start a
/// list stay those of the standard, untried.
asio::awaitable<Result<void>> ListProbe::run() {
  const CurrentList standard;
  const auto mode = co_await tries_.text("CURR:MODE?");
  if (!mode) co_return mode.error();
  bool is_known = mode->has_value();
  for (const char* header : {"LIST:CURR", "LIST:DWEL"}) {
    if (!is_known) break;
    const Result<bool> known = co_await knows(header);
    if (!known) co_return known.error();
    is_known = *known;
  }
  if (!is_known) {
    unknown("words for a list of currents that it plays by itself");
    co_return Result<void>{};
  }
  dialect_.list = standard;
  const auto count = co_await knows("LIST:COUN");
  if (!count) co_return count.error();
  if (!*count) dialect_.list->count.reset();
  unknown(fmt::format("whether {} and {} start a list: a probe never starts one",
                      in_quotes(standard.enter_mode.send), in_quotes(standard.trigger.send)));
  co_return co_await find_list_limits();
}

/// True when the values there are read and taken back; or, where the list is empty and so nothing
/// can be read, when the header is known.
asio::awaitable<Result<bool>> ListProbe::knows(std::string header) {
  const std::string query = header + "?";
  const auto values = co_await tries_.text(query);
  if (!values) co_return values.error();
  if (*values) {
    Result<bool> taken = co_await tries_.takes_back(header + " " + **values, query, **values);
    co_return taken;
  }
  const std::string setting = header + " {}";
  const SettingForm form{query, setting};
  const auto known = co_await tries_.first_header(std::span(&form, 1));
  if (!known) co_return known.error();
  co_return known->has_value();
}

asio::awaitable<Result<void>> ListProbe::find_list_limits() {
  const auto most = co_await tries_.number("LIST:CURR:POIN? MAX");
  if (!most) co_return most.error();
  const auto shortest = co_await tries_.number("LIST:DWEL? MIN");
  if (!shortest) co_return shortest.error();
  const auto longest = co_await tries_.number("LIST:DWEL? MAX");
  if (!longest) co_return longest.error();
  if (*most && (*most)->value >= 2.0) {
    dialect_.list->max_points =
        static_cast<int>(std::min<double>((*most)->value, CurrentList::kMostPoints));
  } else {
    unknown(
        fmt::format("how many points a list may have: {} are assumed", dialect_.list->max_points));
  }
  const double least_s =
      *shortest ? std::max((*shortest)->value, CurrentList::kShortestDwell_s) : 0.0;
  const double most_s = *longest ? std::min((*longest)->value, CurrentList::kLongestDwell_s) : 0.0;
  if (*shortest && (*shortest)->value > 0.0 && most_s > least_s) {
    dialect_.list->shortest_dwell_s = least_s;
    dialect_.list->longest_dwell_s = most_s;
  } else {
    unknown(fmt::format("how long a point of a list may last: {} to {} s are assumed",
                        dialect_.list->shortest_dwell_s, dialect_.list->longest_dwell_s));
  }
  co_return Result<void>{};
}

}  // namespace

asio::awaitable<Result<void>> probe_list(ProbeTries& tries, ProbeFindings& findings) {
  ListProbe probe(tries, findings);
  co_return co_await probe.run();
}

}  // namespace sagbench::drivers
