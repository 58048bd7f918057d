// The curves of a run that was cut short: broken where nobody watched, and true to the charge.
#include <algorithm>
#include <cmath>

#include "catch.hpp"
#include "reports/report_series.hpp"

namespace sagbench::reports {
namespace {

using analysis::Phase;
using analysis::Recording;
using analysis::Sample;

void add(Recording& recording, double time_s, double current_a, double voltage_v) {
  Sample sample;
  sample.time_s = time_s;
  sample.voltage_v = voltage_v;
  sample.current_a = sample.commanded_a = current_a;
  sample.phase = current_a > 0.0 ? Phase::discharge : Phase::rest;
  recording.samples.push_back(sample);
}

/// An hour of 2 A, half an hour in which 0 to 0.2 Ah flowed, a look at rest, and an hour of 2 A.
Recording cut_short() {
  Recording recording;
  recording.pack.rated_capacity_ah = 5.0;
  analysis::Step step;
  step.kind = analysis::StepKind::capacity;
  recording.steps.push_back(step);
  for (int i = 0; i <= 360; ++i) add(recording, 10.0 * i, 2.0, 13.0);
  recording.gaps = {{3600.0, 5400.0, 2.0, 360.0, ""}};
  add(recording, 5400.5, 0.0, 13.3);
  for (int i = 0; i <= 360; ++i) add(recording, 5401.0 + 10.0 * i, 2.0, 12.8);
  return recording;
}

int breaks_of(const std::vector<Point>& curve) {
  return static_cast<int>(std::count_if(curve.begin(), curve.end(),
                                        [](const Point& point) { return std::isnan(point.y); }));
}

}  // namespace

TEST_CASE("The discharge curve counts the middle of a gap and is broken there") {
  const auto curve = discharge_curve(cut_short(), {});
  REQUIRE(curve.size() > 700);
  CHECK(breaks_of(curve) == 1);
  // Half a second from rest to 2 A lies between the look and the first sample under load.
  CHECK(curve.back().x == Approx(2.0 + 0.1 + 2.0).margin(0.001));
  for (const Point& point : curve)
    CHECK((std::isnan(point.y) || point.y < 13.2));  // the look at rest is no part of it
}

TEST_CASE("The curves over time are broken at a gap, however short") {
  Recording recording = cut_short();
  CHECK(breaks_of(voltage_over_time(recording, {})) == 1);
  for (Sample& sample : recording.samples)
    if (sample.time_s > 3600.0) sample.time_s -= 1795.0;
  recording.gaps[0].end_s -= 1795.0;
  CHECK(breaks_of(voltage_over_time(recording, {})) == 1);
  CHECK(breaks_of(current_over_time(recording, {})) == 1);
  recording.gaps.clear();
  CHECK(breaks_of(voltage_over_time(recording, {})) == 0);
}

}  // namespace sagbench::reports
