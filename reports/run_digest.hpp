#pragma once
// What comparisons need of a run: its figures without samples and budgets, small enough to hold
// thousands.

#include <optional>
#include <string>
#include <vector>

#include "analysis/figures.hpp"
#include "reports/geometry.hpp"
#include "reports/json_values.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

struct DigestRating {
  analysis::RadioClass radio_class = analysis::RadioClass::qrp;
  analysis::Verdict verdict = analysis::Verdict::not_measured;
  std::string because;
  std::optional<analysis::Measured> margin_v;
  analysis::Finding<analysis::Measured> usable_ah;
  bool usable_is_minimum = false;
  std::optional<double> temperature_c;
  std::optional<double> peak_a, supply_min_v;  // of the radio; absent: none was tested
};

struct RunDigest {
  std::string run_id;
  std::string utc;    // start of the run, ISO 8601
  bool dated = true;  // false: that is when it was imported
  bool simulated = false;
  bool complete = false;
  analysis::Pack pack;
  analysis::Finding<analysis::Capacity> capacity;         // without budgets
  analysis::Finding<analysis::Resistance> dc_resistance;  // without its budget
  std::vector<DigestRating> ratings;
  std::optional<double> temperature_c;  // mean over the run
  double discharged_ah = 0.0;           // in all of it
  std::vector<Point> curve;  // pack voltage over charge removed (Ah), thinned; see discharge_curve
  std::vector<std::string> cautions;
};

RunDigest digest_of(const ReportInput& input);
std::vector<RunDigest> digests_of(const std::vector<ReportInput>& inputs);

/// Null: not rated.
const DigestRating* rating_of(const RunDigest& digest, analysis::RadioClass radio_class);

/// All but `pack`, which the archive holds as the user wrote it.
Json digest_json(const RunDigest& digest);
/// Absent where that is no digest.
std::optional<RunDigest> digest_from_json(const std::string& text);

}  // namespace sagbench::reports
