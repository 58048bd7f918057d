#pragma once
// What watchers are told, as JSON. Keys are a contract: add, do not rename.

#include <string>
#include <vector>

#include "bench/run/run_watch.hpp"

namespace sagbench::live {

/// What is fixed of a run, for its first message.
struct RunFacts {
  std::string run_id, utc, archive_path, bench_name;
  analysis::Pack pack;
  std::vector<std::string> plan;
  bool simulated = false;
};

/// For LiveFeed::begin(): `"run"`, with the limits that are watched. `ended`: the message of its
/// end; empty: it goes on.
std::string hello_json(const RunFacts& run, const std::string& ended);

/// What a person must not miss of a run: its warnings, the first ones where there are too many.
void add_caution(std::vector<std::string>& cautions, const reports::Event& event);

/// `cautions`: of the run so far.
std::string state_json(const RunFacts& run, const bench::RunState& state,
                       const std::vector<std::string>& cautions);

/// The same as far as another program's archive tells.
struct SeenState {
  double time_s = 0.0;
  std::size_t planned = 0;  // steps of the plan that have begun
  std::string label;        // where it is not the plan's last one that has begun
  double charge_removed_ah = 0.0;
  std::vector<std::string> cautions;
};
std::string seen_state_json(const RunFacts& run, const SeenState& seen);

std::string event_json(const reports::Event& event);
std::string end_json(const std::string& run_id, const reports::RunClosing& closing);

}  // namespace sagbench::live
