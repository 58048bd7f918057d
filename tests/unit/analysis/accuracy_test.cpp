#include "analysis/accuracy.hpp"

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

TEST_CASE("half-width is gain times reading plus offset share of the range") {
  const AccuracyTerm term{0.0005, 0.0002, 60.0};
  CHECK(term.half_width(12.0) == Approx(0.006 + 0.012));
  CHECK(term.half_width(-12.0) == Approx(0.006 + 0.012));
  CHECK(term.half_width(0.0) == Approx(0.012));
}

// JCGM 100:2008, 4.3.7: u = a / sqrt(3) = 0.577350 a (from memory).
TEST_CASE("a rectangular error has the GUM's standard uncertainty") {
  CHECK(rectangular(1.0) == Approx(0.577350).epsilon(1e-6));
}

TEST_CASE("a meter's statement counts before the load's, and ends the doubt about the leads") {
  BenchAccuracy accuracy;
  accuracy.load_voltage = {0.01, 0.0, 60.0};
  accuracy.leads_ohm = 0.004;
  CHECK(voltage_term(accuracy).of_reading == Approx(0.01));
  CHECK(leads_half_width_ohm(accuracy) == Approx(0.004));
  accuracy.meter_voltage = AccuracyTerm{0.0001, 0.0, 20.0};
  CHECK(voltage_term(accuracy).of_reading == Approx(0.0001));
  CHECK(leads_half_width_ohm(accuracy) == 0.0);
}

TEST_CASE("the defaults are the stated ones") {
  CHECK(default_voltage_accuracy(60.0).half_width(12.0) == Approx(0.06 + 0.06));
  CHECK(default_current_accuracy(30.0).half_width(10.0) == Approx(0.1 + 0.06));
}

}  // namespace
}  // namespace sagbench::analysis
