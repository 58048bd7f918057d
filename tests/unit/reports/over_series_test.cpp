#include "reports/over_series.hpp"

#include <algorithm>

#include "catch.hpp"

namespace sagbench::reports {
namespace {

using analysis::Phase;
using analysis::Recording;
using analysis::Sample;

void add(Recording& recording, double time_s, Phase phase, double commanded_a, double since_s) {
  Sample sample;
  sample.time_s = time_s;
  sample.phase = phase;
  sample.step = static_cast<int>(recording.steps.size()) - 1;
  sample.commanded_a = commanded_a;
  sample.commanded_since_s = since_s;
  sample.current_a = commanded_a + 0.01;
  sample.voltage_v = 13.0 - 0.02 * commanded_a;
  recording.samples.push_back(sample);
}

/// A minute of receiving 1 A, then three overs of two dashes of 20 A in a second of 2 A, 5 s apart,
/// a sample every tenth of a second.
void transmit(Recording& recording, double peak_a, double begin_s) {
  analysis::Step step;
  step.kind = analysis::StepKind::transmit;
  step.radio.emplace();
  step.radio->transmit_peak_a = peak_a;
  step.mode = analysis::Mode::cw;
  recording.steps.push_back(step);
  for (int over = 0; over < 3; ++over) {
    const double from_s = begin_s + 6.0 * over;
    for (int i = 0; i < 50; ++i) add(recording, from_s + 0.1 * i, Phase::receive, 1.0, from_s);
    for (int i = 0; i < 10; ++i) {
      const bool down = i / 2 == 1 || i / 2 == 3;
      add(recording, from_s + 5.05 + 0.1 * i, Phase::transmit, down ? peak_a : 2.0,
          from_s + 5.0 + 0.2 * (i / 2));
    }
  }
}

}  // namespace

TEST_CASE("The over next to the middle is shown, of the radio with the greatest peak") {
  Recording recording;
  transmit(recording, 2.0, 0.0);
  transmit(recording, 20.0, 100.0);
  transmit(recording, 5.0, 200.0);
  const auto pictures = over_pictures(recording);
  REQUIRE(pictures);
  CHECK(pictures->step == 1);
  CHECK(pictures->radio.transmit_peak_a == 20.0);
  CHECK(pictures->over.from_s == Approx(111.05 - 1.5));
  // From there the first dash begins at 111.2 s, to the sample, and ends 0.2 s later.
  const auto& asked = pictures->over.asked_a;
  const auto rise = std::ranges::find_if(asked, [](const Point& point) { return point.y == 20.0; });
  REQUIRE(rise != asked.end());
  CHECK(rise->x == Approx(111.2 - pictures->over.from_s));
  CHECK((rise - 1)->x == rise->x);
  CHECK((rise - 1)->y == 2.0);
  const auto fall =
      std::find_if(rise, asked.end(), [](const Point& point) { return point.y == 2.0; });
  CHECK(fall->x == Approx(111.4 - pictures->over.from_s));
  CHECK(pictures->over.delivered_a.size() == pictures->over.pack_v.size());
  CHECK(pictures->over.delivered_a.back().x <= Approx(1.5 + 0.9 + 1.5));
}

TEST_CASE("The moment is the greatest rise of that over, with what came just before") {
  Recording recording;
  transmit(recording, 20.0, 100.0);
  const auto pictures = over_pictures(recording);
  REQUIRE(pictures);
  CHECK(pictures->moment.from_s == Approx(111.2 - 0.2));
  CHECK(pictures->moment.asked_a.back().x <= 0.8);
}

TEST_CASE("Without a transmit step, or with too few samples of an over, there is no picture") {
  Recording recording;
  CHECK_FALSE(over_pictures(recording));
  transmit(recording, 20.0, 0.0);
  for (Sample& sample : recording.samples) sample.phase = Phase::receive;
  CHECK_FALSE(over_pictures(recording));
  recording.samples[10].phase = recording.samples[11].phase = Phase::transmit;
  CHECK_FALSE(over_pictures(recording));
  recording.samples[12].phase = Phase::transmit;
  CHECK(over_pictures(recording));
}

}  // namespace sagbench::reports
