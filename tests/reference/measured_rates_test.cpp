// What measured discharges of one battery at several currents say of its rate, and measured pulses
// of its resistance. Sources and licences: data/<set>/README.md.

#include <string>
#include <vector>

#include "analysis/figures.hpp"
#include "analysis/peukert.hpp"
#include "catch.hpp"
#include "reports/measured_csv.hpp"

namespace sagbench {
namespace {

using analysis::Chemistry;

analysis::Figures measured(const std::string& file, Chemistry chemistry, int series,
                           double rated_ah, double end_v, bool discharge_negative) {
  reports::CsvColumns columns;
  columns.voltage = "voltage_v";
  columns.current = "current_a";
  columns.temperature = "temperature_c";
  columns.discharge_negative = discharge_negative;
  analysis::Recording recording;
  recording.pack.chemistry = chemistry;
  recording.pack.series = series;
  recording.pack.rated_capacity_ah = rated_ah;
  recording.pack.end_of_discharge_v = end_v;
  recording.complete = true;
  recording.steps.emplace_back().kind = analysis::StepKind::imported;
  recording.samples =
      reports::read_measured_csv(SAGBENCH_TEST_DATA "/reference/data/" + file, columns);
  return analysis::analyse(recording);
}

// Seven discharges at 0.5 to 3 A to 10.8 V. An independent integration (numpy) finds 18.27, 18.68,
// 18.01, 18.95, 19.30, 19.44 and 19.39 Ah: the charge rises with the current instead of falling, so
// no exponent may come out of them.
TEST_CASE("12 V lead-acid battery at low rates: no exponent, and why") {
  std::vector<analysis::RatePoint> points;
  for (const char* file : {"0.5A", "1.0A_run1", "1.0A_run2", "1.5A", "2.0A", "2.5A", "3.0A"}) {
    const auto capacity = measured("leadacid/discharge_" + std::string(file) + ".csv",
                                   Chemistry::flooded, 6, 17.0, 10.8, false)
                              .capacity;
    REQUIRE(capacity);
    points.push_back({capacity->mean_current_a, capacity->charge_ah, capacity->to_voltage_v,
                      capacity->temperature_c});
  }
  const auto peukert = analysis::peukert(points, Chemistry::flooded);
  REQUIRE_FALSE(peukert);
  CHECK(peukert.why().find("does not fall with the current") != std::string::npos);
  CHECK(peukert.why().find("the fit gives 0.95") != std::string::npos);
}

// 10 s pulses of 2.9, 5.8 and 11.6 A at half charge, from the file's rows by hand, in mohm:
//   (3.66348 - 3.55524) / 2.89982 = 37.33, (3.66090 - 3.44651) / 5.79963 = 36.97,
//   (3.65640 - 3.23227) / 11.59927 = 36.57.
// The records do not say when the current came on: within 0.1 s before the first reading, which is
// all that is in doubt of an age of 10 s. The first reading depends on it altogether, and says so.
TEST_CASE("18650 cell: the step method on measured pulses") {
  const auto figures =
      measured("liion_18650/pulses_50_percent.csv", Chemistry::nca, 1, 2.9, 2.5, true);
  const auto& steps = figures.resistances.steps;
  REQUIRE(steps);
  REQUIRE(steps->size() == 3);
  const double at_10_s[] = {0.03733, 0.03697, 0.03657};
  for (std::size_t i = 0; i < 3; ++i) {
    const auto& points = steps->at(i).points;
    REQUIRE(points[2].ohm);
    CHECK(points[2].ohm->value == Approx(at_10_s[i]).epsilon(0.002));
    CHECK(points[0].read_after_s > 0.04);
    REQUIRE(points[0].ohm);
    CHECK(points[0].ohm->expanded_uncertainty > 3.0 * points[2].ohm->expanded_uncertainty);
    CHECK_FALSE(points[3].ohm);
  }
  // Mean and standard deviation of the three, by hand.
  bool told = false;
  for (const auto& entry : figures.resistances.repeatability) {
    if (entry.after_s != 10.0) continue;
    told = true;
    CHECK(entry.ohm.count == 3);
    CHECK(entry.ohm.mean == Approx(0.03696).epsilon(0.002));
    CHECK(entry.ohm.standard_deviation == Approx(0.00038).margin(0.00004));
  }
  CHECK(told);
}

}  // namespace
}  // namespace sagbench
