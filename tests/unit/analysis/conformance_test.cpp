// Probabilities of conforming, given one measurement. Values of the normal distribution are those
// of any table of it.

#include "analysis/conformance.hpp"

#include <array>

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

TEST_CASE("one requirement is met with the probability of the normal distribution") {
  // JCGM 106:2012, clause 7, example of a breakdown voltage (from memory): 5.47 V with a standard
  // uncertainty of 0.05 V against at least 5.40 V conforms with a probability of 0.92.
  CHECK(conforming_probability({0.07, 0.10, 2.0}) == Approx(0.9192).margin(1e-4));
  CHECK(conforming_probability({0.07, 0.15, 3.0}) == Approx(0.9192).margin(1e-4));
  CHECK(conforming_probability({0.0, 0.10, 2.0}) == Approx(0.5));
  CHECK(conforming_probability({-0.07, 0.10, 2.0}) == Approx(1.0 - 0.9192).margin(1e-4));
  // At the guard band of k = 2 the tail is that beyond two standard deviations.
  CHECK(1.0 - conforming_probability({0.10, 0.10, 2.0}) == Approx(0.02275).margin(1e-5));
}

TEST_CASE("nothing is told nearer to certain than instruments are known") {
  CHECK(conforming_probability({10.0, 0.10, 2.0}) == 1.0 - kLeastRisk);
  CHECK(conforming_probability({-10.0, 0.10, 2.0}) == kLeastRisk);
  CHECK(conforming_probability({0.1, 0.0, 2.0}) == 1.0 - kLeastRisk);
  CHECK(conforming_probability({0.0, 0.0, 2.0}) == kLeastRisk);
}

TEST_CASE("of several requirements the risks of failing add up at worst") {
  const std::array margins = {Measured{0.10, 0.10, 2.0}, Measured{0.07, 0.10, 2.0}};
  const Conformance both = conformance_of(margins);
  CHECK(both.at_most == Approx(0.9192).margin(1e-4));
  CHECK(both.at_least == Approx(0.9192 - 0.02275).margin(1e-4));
  CHECK(false_accept_risk(both) == Approx(1.0 - 0.9192 + 0.02275).margin(1e-4));
  CHECK(false_reject_risk(both) == both.at_most);
  const std::array hopeless = {Measured{-1.0, 0.1, 2.0}, Measured{-1.0, 0.1, 2.0}};
  CHECK(conformance_of(hopeless).at_least == kLeastRisk);
}

}  // namespace
}  // namespace sagbench::analysis
