#pragma once
// Whether a run that was cut short can soundly go on, and from where.

#include <chrono>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "analysis/finding.hpp"
#include "reports/run_record.hpp"

namespace sagbench::bench {

/// What the program that wants to go on has before it, the load's input off.
struct AtHand {
  nlohmann::json pack, bench, plan;              // the files; of the plan with its radios inside
  std::vector<reports::Instrument> instruments;  // with the identities they answer
  analysis::Sample look;                         // of the pack at rest
  /// After so many seconds without a message the load switches itself off; absent: it does not.
  std::optional<double> watchdog_s;
  std::chrono::system_clock::time_point utc;
  bool simulated_anew = false;  // a virtual bench that was made for this run
};

/// How a run goes on. Times are seconds since the run's start.
struct Continuation {
  std::size_t plan_step = 0;  // of the plan: what is before it was done
  int row = 0;                // the same step in the archive
  reports::StepRow step;
  double now_s = 0.0;                  // by the calendar, good to about a second
  double charge_removed_ah = 0.0;      // since the pack was last full, at most
  double reference_capacity_ah = 0.0;  // what a state of charge refers to
  double brought_v = 0.0;              // of the pack as it was brought, at rest
  int gap_index = 0;
  analysis::Gap gap;
};

/// Longer than this nobody knows what became of the pack meanwhile (our choice, no source).
inline constexpr double kLongestGap_s = 3600.0;

/// Why a step or a run ended that was cut short.
inline constexpr const char* kDied = "the program or the computer died";

/// The run's last step must be a capacity step that was cut short before its end, on the same pack,
/// bench and plan, with a load that has switched itself off in time, and the pack must look like
/// it. Missing: why not, as a clause for people. `run_since` is a run of the same pack begun after
/// it. Throws InputError when the record's own files cannot be read.
analysis::Finding<Continuation> continuation_of(const reports::RunRecord& record, const AtHand& now,
                                                const std::optional<std::string>& run_since);

/// What differs between the run's files and instruments and those at hand, as a clause; empty when
/// nothing that matters does.
std::string difference(const reports::RunHeader& header, const AtHand& now);

}  // namespace sagbench::bench
