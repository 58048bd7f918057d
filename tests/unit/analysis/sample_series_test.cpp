#include "analysis/sample_series.hpp"

#include <vector>

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

Sample at(double time_s, std::optional<double> temperature_c) {
  Sample sample;
  sample.time_s = time_s;
  sample.temperature_c = temperature_c;
  return sample;
}

TEST_CASE("the mean temperature is one over time, not over samples") {
  // An hour at 20 °C, then a minute of quick samples at 30 °C: (60 * 20 + 1 * 30) / 61 minutes, and
  // the second of the step between.
  std::vector<Sample> samples = {at(0, 20), at(1800, std::nullopt), at(3600, 20)};
  for (int i = 1; i <= 60; ++i) samples.push_back(at(3600 + i, 30));
  CHECK(mean_temperature_c(samples).value() ==
        Approx((3600 * 20.0 + 25.0 + 59 * 30.0) / 3660).epsilon(1e-12));
}

TEST_CASE("a single temperature is its own mean, and none has none") {
  CHECK(mean_temperature_c(std::vector{at(5, 21.5), at(6, std::nullopt)}).value() == 21.5);
  CHECK_FALSE(mean_temperature_c(std::vector{at(5, std::nullopt)}));
}

}  // namespace
}  // namespace sagbench::analysis
