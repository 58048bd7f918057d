#include "bench/live/live_point.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "bench/live/stream_thinner.hpp"
#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::live;

namespace {

LivePoint at(double time_s, double voltage_v = 13.0, double current_a = 1.0) {
  return {time_s, voltage_v, current_a, 0.0, std::nullopt, {}};
}

std::vector<LivePoint> row(std::size_t count, double every_s) {
  std::vector<LivePoint> points;
  for (std::size_t i = 0; i < count; ++i)
    points.push_back(at(every_s * static_cast<double>(i), 13.0 - 1e-4 * static_cast<double>(i)));
  return points;
}

std::vector<double> times_of(const std::vector<LivePoint>& points) {
  std::vector<double> times;
  for (const LivePoint& point : points) times.push_back(point.time_s);
  return times;
}

}  // namespace

TEST_CASE("a few points stay, of many the ends and extremes") {
  const auto few = row(kTelling, 1.0);
  CHECK(times_of(telling(few)) == times_of(few));
  auto many = row(100, 1.0);
  many[40].voltage_v = 9.0;
  many[50].voltage_v = 15.0;
  many[60].current_a = -1.0;
  many[70].current_a = 20.0;
  CHECK(times_of(telling(many)) == std::vector<double>{0, 40, 50, 60, 70, 99});
  CHECK(telling({}).empty());
}

TEST_CASE("a stretch is cut into columns, and a spike stays") {
  auto points = row(1000, 0.1);
  points[555].voltage_v = 5.0;
  const auto thin = thinned(points, 0.0, 99.9, 10);
  CHECK(thin.size() <= 10 * kTelling);
  CHECK(std::ranges::is_sorted(thin, {}, &LivePoint::time_s));
  CHECK(std::ranges::count(thin, 5.0, &LivePoint::voltage_v) == 1);
  CHECK(thin.front().time_s == 0.0);
  CHECK(thin.back().time_s == points.back().time_s);
  const auto part = thinned(points, 10.0, 20.0, 1000);
  CHECK(part.front().time_s >= 10.0);
  CHECK(part.back().time_s <= 20.0);
  CHECK(part.size() == 101);
  CHECK(thinned(points, 500.0, 600.0, 10).empty());
  CHECK(thinned(points, 20.0, 10.0, 10).empty());
  CHECK(thinned({}, 0.0, 1.0, 10).empty());
  CHECK(thinned(points, 10.0, 10.0, 10).size() == 1);
}

TEST_CASE("a stream keeps 20 points a second and every spike") {
  CHECK(thinned_stream(row(200, 0.05)).size() == 200);  // 20 Hz: all of it
  auto quick = row(10000, 0.002);                       // 500 Hz for 20 s
  quick[3210].voltage_v = 8.0;
  quick[7654].current_a = 30.0;
  const auto thin = thinned_stream(quick);
  CHECK(thin.size() <= 68 * kTelling);
  CHECK(std::ranges::count(thin, 8.0, &LivePoint::voltage_v) == 1);
  CHECK(std::ranges::count(thin, 30.0, &LivePoint::current_a) == 1);
}

TEST_CASE("columns hold the samples' own numbers, and null where nothing was read") {
  std::vector<LivePoint> points = {{0.1, 13.123456789, 2.0, 0.001, 23.5, {3.25, 3.26}},
                                   {1e5 / 3.0, 12.0, -0.25, 1.5, std::nullopt, {}}};
  const auto json = nlohmann::json::parse(columns_json(points));
  CHECK(json["time_s"] == nlohmann::json({0.1, 1e5 / 3.0}));
  CHECK(json["voltage_V"] == nlohmann::json({13.123456789, 12.0}));
  CHECK(json["current_A"] == nlohmann::json({2.0, -0.25}));
  CHECK(json["temperature_C"] == nlohmann::json({23.5, nullptr}));
  CHECK(json["charge_Ah"] == nlohmann::json({0.001, 1.5}));
  CHECK(json["cells_V"] == nlohmann::json::parse("[[3.25, null], [3.26, null]]"));
  const auto empty = nlohmann::json::parse(columns_json({}));
  CHECK(empty["time_s"].empty());
  CHECK(empty["cells_V"].empty());
  points[0].voltage_v = std::nan("");
  CHECK(nlohmann::json::parse(columns_json(points))["voltage_V"][0].is_null());
}

TEST_CASE(
    "charge is counted as the analysis does, edges and all, and none while none is asked for") {
  PointMaker maker;
  const auto sample = [](double time_s, double current_a, double asked_a, double since_s) {
    analysis::Sample result;
    result.time_s = time_s;
    result.current_a = current_a;
    result.commanded_a = asked_a;
    result.commanded_since_s = since_s;
    return result;
  };
  CHECK(maker.point(sample(0, 0.01, 0, 0)).charge_ah == 0.0);
  CHECK(maker.point(sample(3600, 0.01, 0, 0)).charge_ah == 0.0);  // an offset is no charge
  const double first = maker.point(sample(3610, 2.0, 2.0, 3605)).charge_ah;
  CHECK(first == Approx((5 * 0.01 + 5 * 2.0) / 3600));
  CHECK(maker.point(sample(3620, 2.0, 2.0, 3605)).charge_ah == Approx(first + 20.0 / 3600));
}
