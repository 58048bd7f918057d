// Mean, standard deviation and autocorrelation against the univariate sets of NIST's Statistical
// Reference Datasets. Source: data/nist/README.md.

#include <fmt/format.h>

#include <string>

#include "analysis/summary.hpp"
#include "catch.hpp"
#include "nist_file.hpp"

namespace sagbench::analysis {

using testing::digits;

// 10000000.2 and its like are rounded to 2e-9 when they become doubles: a hundred-millionth of the
// standard deviation of NumAcc4, a billionth of that of NumAcc3.
TEST_CASE("NIST's univariate sets") {
  constexpr double kMost = 15.0;
  struct Set {
    const char* name;
    double least_digits;
  };
  fmt::print("{:<9} {:>6} {:>6} {:>6}\n", "digits", "mean", "sd", "lag 1");
  for (const auto& [name, least_digits] :
       {Set{"Lew", 13.0}, Set{"Lottery", 13.0}, Set{"Mavro", 12.0}, Set{"Michelso", 12.0},
        Set{"NumAcc1", 15.0}, Set{"NumAcc2", 13.0}, Set{"NumAcc3", 9.0}, Set{"NumAcc4", 8.0}}) {
    INFO(name);
    const auto file = testing::nist_file(std::string("univariate/") + name);
    const auto summary = summary_of(file.column(0));
    REQUIRE(summary);
    REQUIRE(summary->lag_1_autocorrelation);
    const double mean = digits(summary->mean, file.mean, kMost);
    const double sd = digits(summary->standard_deviation, file.standard_deviation, kMost);
    const double lag_1 = digits(*summary->lag_1_autocorrelation, file.lag_1, kMost);
    fmt::print("{:<9} {:>6.1f} {:>6.1f} {:>6.1f}\n", name, mean, sd, lag_1);
    CHECK(mean >= 14.0);
    CHECK(sd >= least_digits);
    CHECK(lag_1 >= least_digits);
    CHECK(summary->count == file.rows.size());
  }
}

}  // namespace sagbench::analysis
