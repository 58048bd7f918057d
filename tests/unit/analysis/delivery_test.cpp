#include "analysis/delivery.hpp"

#include <cmath>
#include <vector>

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

Sample sample(double time_s, double current_a, std::optional<double> since_s = std::nullopt) {
  Sample result;
  result.time_s = time_s;
  result.current_a = current_a;
  result.commanded_a = current_a;
  result.commanded_since_s = since_s;
  return result;
}

/// 2 A and 1 A in turn, a second each.
std::vector<AskedCurrent> blinking(int edges) {
  std::vector<AskedCurrent> asked;
  for (int i = 0; i < edges; ++i) asked.push_back({1.0 * i, i % 2 == 0 ? 2.0 : 1.0});
  return asked;
}

/// Sampled ten times a second, each edge late by `late_s` and told of by the record.
std::vector<Sample> played(const std::vector<AskedCurrent>& asked, double end_s, double late_s) {
  std::vector<Sample> samples;
  double since_s = 0.0, current_a = asked.front().current_a;
  std::size_t next = 1;
  for (double time_s = 0.05; time_s < end_s; time_s += 0.1) {
    while (next < asked.size() && asked[next].start_s + late_s <= time_s) {
      since_s = asked[next].start_s + late_s;
      current_a = asked[next].current_a;
      ++next;
    }
    samples.push_back(sample(time_s, current_a, since_s));
  }
  return samples;
}

}  // namespace

TEST_CASE("what was drawn as asked compares equal") {
  const auto asked = blinking(10);
  const auto compared = delivery(asked, 10.0, played(asked, 10.0, 0.0));
  REQUIRE(compared);
  // The last sample is at 9.95 s: 10 A s in five seconds of 2 A, 4.95 A s of 1 A.
  CHECK(compared->asked.duration_s == Approx(9.95));
  CHECK(compared->asked.mean_a == Approx(14.95 / 9.95));
  CHECK(compared->delivered.mean_a == Approx(14.95 / 9.95));
  CHECK(compared->asked.rms_a == Approx(std::sqrt(24.95 / 9.95)));
  CHECK(compared->delivered.rms_a == Approx(compared->asked.rms_a));
  CHECK(compared->asked.peak_a == 2.0);
  CHECK(compared->delivered.peak_a == 2.0);
  CHECK(compared->asked_key_down == Approx(5.0 / 9.95));
  CHECK(compared->delivered_key_down == Approx(4.95 / 9.9));  // from the first sample on
  CHECK(compared->edges.asked == 9);
  CHECK(compared->edges.unseen == 0);
  CHECK(*compared->edges.worst_s == Approx(0.0).margin(1e-9));
}

TEST_CASE("how late edges came is told to the setpoint's time where the record has it") {
  const auto asked = blinking(101);
  auto samples = played(asked, 100.5, 0.02);
  const auto compared = delivery(asked, 100.5, samples);
  REQUIRE(compared);
  CHECK(compared->edges.asked == 100);
  CHECK(*compared->edges.half_within_s == Approx(0.02));
  CHECK(*compared->edges.nearly_all_within_s == Approx(0.02));
  for (Sample& each : samples) each.commanded_since_s.reset();
  const auto seen_only = delivery(asked, 100.5, samples);
  REQUIRE(seen_only);
  CHECK(*seen_only->edges.half_within_s == Approx(0.05));  // the first sample behind the edge
}

TEST_CASE("percentiles are nearest ranks of the edges that were seen") {
  std::vector<AskedCurrent> asked = blinking(101);
  std::vector<Sample> samples = {sample(0.01, 2.0, 0.0)};
  for (int i = 1; i <= 100; ++i) {  // edge i comes i ms late
    const double came_s = i + 0.001 * i;
    samples.push_back(sample(came_s - 0.0005, asked[static_cast<std::size_t>(i - 1)].current_a));
    samples.push_back(sample(came_s + 0.1, asked[static_cast<std::size_t>(i)].current_a, came_s));
  }
  const auto compared = delivery(asked, 101.0, samples);
  REQUIRE(compared);
  CHECK(compared->edges.unseen == 0);
  CHECK(*compared->edges.half_within_s == Approx(0.050));
  CHECK(*compared->edges.most_within_s == Approx(0.090));
  CHECK(*compared->edges.nearly_all_within_s == Approx(0.099));
  CHECK(*compared->edges.worst_s == Approx(0.100));
}

TEST_CASE("an edge that came early is off by as much") {
  const std::vector<AskedCurrent> asked = {{0.0, 1.0}, {5.0, 2.0}};
  const auto compared = delivery(asked, 10.0,
                                 std::vector{sample(0.0, 1.0, 0.0), sample(4.8, 1.0, 0.0),
                                             sample(5.1, 2.0, 4.9), sample(10.0, 2.0, 4.9)});
  REQUIRE(compared);
  CHECK(*compared->edges.worst_s == Approx(0.1));
}

TEST_CASE("edges that no sample shows are counted, not guessed") {
  const std::vector<AskedCurrent> asked = {{0.0, 1.0}, {1.0, 5.0}, {1.1, 1.0}, {2.0, 5.0}};
  const auto compared =
      delivery(asked, 3.0,
               std::vector{sample(0.0, 1.0, 0.0), sample(0.9, 1.0, 0.0), sample(1.5, 1.0, 1.1),
                           sample(2.5, 5.0, 2.0), sample(3.0, 5.0, 2.0)});
  REQUIRE(compared);
  CHECK(compared->edges.asked == 3);
  CHECK(compared->edges.unseen == 2);
  CHECK(*compared->edges.worst_s == Approx(0.0).margin(1e-9));
  CHECK(compared->delivered.mean_a < compared->asked.mean_a);
}

TEST_CASE("a load that draws too little shows in mean, r.m.s. and peak") {
  const auto asked = blinking(10);
  auto samples = played(asked, 10.0, 0.0);
  for (Sample& each : samples) each.current_a *= 0.9;
  const auto compared = delivery(asked, 10.0, samples);
  REQUIRE(compared);
  CHECK(compared->delivered.mean_a == Approx(0.9 * compared->asked.mean_a));
  CHECK(compared->delivered.rms_a == Approx(0.9 * compared->asked.rms_a));
  CHECK(compared->delivered.peak_a == Approx(1.8));
}

TEST_CASE("without anything to compare there is a reason, not a figure") {
  const auto asked = blinking(3);
  CHECK(delivery({}, 1.0, played(asked, 3.0, 0.0)).why() == "no pattern was asked for");
  CHECK(delivery(asked, 3.0, {}).why() == "fewer than two samples of it");
  const std::vector late = {sample(5.0, 1.0), sample(6.0, 1.0)};
  CHECK(delivery(asked, 3.0, late).why() == "the samples do not fall into its time");
}

TEST_CASE("a steady current has no edges and so no timing") {
  const std::vector<AskedCurrent> asked = {{0.0, 1.0}};
  const auto compared =
      delivery(asked, 2.0, std::vector{sample(0.0, 1.0, 0.0), sample(2.0, 1.0, 0.0)});
  REQUIRE(compared);
  CHECK(compared->edges.asked == 0);
  CHECK_FALSE(compared->edges.worst_s);
}

}  // namespace sagbench::analysis
