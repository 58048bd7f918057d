#pragma once
// One pack over its tests.

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "analysis/ageing.hpp"
#include "analysis/endurance.hpp"
#include "reports/run_digest.hpp"

namespace sagbench::reports {

/// A test that a series does not take, by its index.
struct LeftOut {
  std::size_t test = 0;
  std::string why;
};

/// A figure that later tests found again, under conditions that are alike.
struct AgeingSeries {
  std::string name;        // "Capacity"
  std::string unit;        // "Ah"
  std::string conditions;  // that its tests share
  std::vector<std::size_t> tests;
  std::vector<analysis::TrendPoint> over_days;
  std::vector<analysis::TrendPoint> over_use;  // full discharges before the test
  analysis::Finding<analysis::Trend> by_day;
  analysis::Finding<analysis::Trend> by_use;
  std::vector<LeftOut> left_out;

  /// The last less the first, with both uncertainties. Missing with fewer than two tests.
  analysis::Finding<analysis::Measured> change() const;
};

struct AgeingTest {
  RunDigest run;
  double day = 0.0;  // since the first test
  /// Charge that this archive's runs of the pack drew before it, over the rated capacity. What the
  /// pack gave elsewhere is not known.
  double use = 0.0;
};

/// What each run of a pack tells of an operation, by the run's id.
struct OperationAnswers {
  analysis::Operation operation;
  std::map<std::string, analysis::Endurance> by_run;
};

/// Hours on the air over the tests.
struct OperationSeries {
  analysis::Operation operation;
  AgeingSeries hours;
  std::vector<analysis::Endurance> answers;  // one a test
};

struct AgeingHistory {
  analysis::Pack pack;               // as its newest run has it
  std::vector<AgeingTest> tests;     // oldest first
  std::vector<AgeingSeries> series;  // capacity first
  std::vector<OperationSeries> operations;
  analysis::WornDate worn;
  /// Missing where no test measured a capacity on a known date.
  analysis::Finding<analysis::NextTest> next;
  std::vector<std::string> cautions;

  const AgeingSeries& capacity() const { return series.front(); }
  /// All of them, hours last.
  std::vector<const AgeingSeries*> all_series() const;
  /// The calendar's date of a day on the axis, ISO 8601.
  std::string date_of(double day) const;
};

/// Of the runs of one pack, at least one. Where the newest is simulated only simulated ones count,
/// else only measured ones. Precondition: each of `operations` has an answer of each run.
AgeingHistory ageing_history(std::vector<RunDigest> runs,
                             const std::vector<OperationAnswers>& operations = {});

/// What the history tells, one sentence or two an entry, the most important first.
std::vector<std::string> statements_on(const AgeingHistory& history);

}  // namespace sagbench::reports
