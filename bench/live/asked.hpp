#pragma once
// What a request asks for. Pure: nothing in a request becomes a path of a file.

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "bench/live/refusal.hpp"
#include "bench/live/request.hpp"

namespace sagbench::live {

/// One of the page's own files, which hold no data.
struct AskedPage {
  std::string path;  // "/", "/app.js": a name to look up in a table, no more
};
struct AskedNow {};
/// As `sagbench runs` has them; empty: any.
struct AskedRuns {
  std::string pack, chemistry, since, until, end;
  std::size_t limit = 1000;
};
struct AskedFigures {
  std::string run;
};
struct AskedHistory {
  std::string run;
  std::optional<double> from_s, to_s;
  int columns = 1000;
};
struct AskedReport {
  std::string run;
};
struct AskedComparison {
  std::vector<std::string> runs;
};
struct AskedStop {};
/// The WebSocket.
struct AskedLive {
  std::optional<double> since_s;
  std::string run;  // that `since_s` is of; empty: the one that goes on
};

using Asked = std::variant<AskedPage, AskedNow, AskedRuns, AskedFigures, AskedHistory, AskedReport,
                           AskedComparison, AskedStop, AskedLive>;

/// A refusal has the status 400, 404 or 405. Runs have the form of an id; dates and words of a
/// filter are not looked at yet.
std::variant<Asked, Refusal> asked_by(const Request& request);

inline constexpr int kMostColumns = 4000;
inline constexpr std::size_t kMostCompared = 6;

}  // namespace sagbench::live
