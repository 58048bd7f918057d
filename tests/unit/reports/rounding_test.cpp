// No more digits than are known.
#include "reports/rounding.hpp"

#include <cmath>
#include <limits>

#include "catch.hpp"

namespace sagbench::reports {

using analysis::Measured;

// JCGM 100:2008, 7.2.6 (cited from memory): y = 10,057 62 ohm with u = 27 mohm is to be rounded to
// 10,058 ohm.
TEST_CASE("The guide's example is rounded as the guide does") {
  const Measured shown = rounded(Measured{10.05762, 0.027, 1});
  CHECK(shown.value == 10.058);
  CHECK(shown.expanded_uncertainty == 0.027);
  CHECK(shown.coverage_factor == 1);
}

// JCGM 100:2008, 7.2.2 (cited from memory): m = 100,021 47 g with u = 0,35 mg, U = 0,79 mg, k =
// 2,26.
TEST_CASE("The guide's mass keeps the place of its uncertainty") {
  const Measured shown = rounded(Measured{100.0214712, 0.000791, 2.26});
  CHECK(shown.value == 100.02147);
  CHECK(shown.expanded_uncertainty == 0.00079);
}

TEST_CASE("The value keeps four digits, however wide the uncertainty") {
  CHECK(rounded(Measured{9.87654, 1.2345, 2}).value == 9.877);
  CHECK(rounded(Measured{9.87654, 1.2345, 2}).expanded_uncertainty == 1.2);
  CHECK(rounded(Measured{0.0213456, 0.0004, 2}).value == 0.02135);
  CHECK(rounded(Measured{0.0213456, 0.00041234, 2}).expanded_uncertainty == 0.00041);
  CHECK(rounded(Measured{-9.87654, 20.0, 2}).value == -9.877);
}

TEST_CASE("An uncertainty that rounds up to the next power of ten moves the place") {
  const Measured shown = rounded(Measured{1234.56789, 0.0996, 2});
  CHECK(shown.expanded_uncertainty == 0.10);
  CHECK(shown.value == 1234.57);
}

TEST_CASE("Large numbers are rounded left of the point too") {
  CHECK(rounded(Measured{1234567.0, 4321.0, 2}).value == 1234600.0);
  CHECK(rounded(Measured{1234567.0, 4321.0, 2}).expanded_uncertainty == 4300.0);
}

TEST_CASE("Nothing known about the uncertainty: six digits") {
  const double none = GENERATE(0.0, std::numeric_limits<double>::infinity());
  CHECK(rounded(Measured{1.23456789, none, 2}).value == 1.23457);
}

TEST_CASE("Zero and what is no number pass through") {
  CHECK(rounded(Measured{0.0, 0.0123, 2}).value == 0.0);
  CHECK(rounded(0.0, 3) == 0.0);
  CHECK(std::isnan(rounded(std::nan(""), 3)));
  CHECK(std::isinf(rounded(std::numeric_limits<double>::infinity(), 3)));
  CHECK(rounded(1e-320, 3) == Approx(1e-320).epsilon(0.01));
  CHECK(rounded(1.7976931348623157e308, 3) > 1.7e308);
}

}  // namespace sagbench::reports
