#include "bench/run/voltage_trend.hpp"

#include <limits>

#include "catch.hpp"

using sagbench::bench::VoltageTrend;

TEST_CASE("a trend goes down as the voltage does") {
  VoltageTrend trend;
  CHECK(trend.picture(VoltageTrend::Style::blocks).empty());
  CHECK_FALSE(trend.range());
  for (int second = 0; second < 8; ++second) trend.add(second, 13.0 - 0.1 * second);
  CHECK(trend.picture(VoltageTrend::Style::blocks) == "█▇▆▅▄▃▂▁");
  CHECK(trend.picture(VoltageTrend::Style::ascii) == "''--..__");
  CHECK(trend.range()->least_v == Approx(12.3));
  CHECK(trend.range()->most_v == Approx(13.0));
  CHECK(trend.span_s() == 7.0);
}

TEST_CASE("a trend keeps the lowest of each part, however long the run") {
  VoltageTrend trend;
  constexpr int kDay_s = 86400;
  for (int second = 0; second < kDay_s; ++second) trend.add(second, second == 40000 ? 11.0 : 13.0);
  const std::string picture = trend.picture(VoltageTrend::Style::ascii);
  CHECK(picture.size() <= VoltageTrend::kMostParts);
  CHECK(picture.size() > VoltageTrend::kMostParts / 2);
  CHECK(picture.find('_') == 40000 / 4096);  // the least power of two that is enough
  CHECK(picture.find('_') == picture.rfind('_'));
  CHECK(trend.range()->least_v == 11.0);
}

TEST_CASE("noise is no trend, and a pause is blank") {
  VoltageTrend trend;
  trend.add(0.0, 13.000);
  trend.add(1.0, 13.001);
  trend.add(4.0, 13.000);
  trend.add(5.0, std::numeric_limits<double>::quiet_NaN());
  CHECK(trend.picture(VoltageTrend::Style::ascii) == "''  '");
}
