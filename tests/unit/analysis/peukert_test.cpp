// Capacity against current, and capacity at a reference temperature, on published and worked
// numbers.

#include "analysis/peukert.hpp"

#include <cmath>
#include <vector>

#include "analysis/temperature_correction.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::mentions;

RatePoint point(double current_a, double charge_ah, double relative_u = 0.001) {
  return {current_a, {charge_ah, 2.0 * relative_u * charge_ah, 2.0}, 10.5, 25.0};
}

/// Hours at a current by the law from one known pair.
double law_h(double k, double rated_ah, double rated_h, double current_a) {
  return rated_h * std::pow(rated_ah / (current_a * rated_h), k);
}

// W. Peukert's law, arithmetic worked outside this program: 100 Ah at 20 h with k = 1.2 last
// 8.705506 h at 10 A (87.05506 Ah) and 3.789292 h at 20 A.
TEST_CASE("two runs give back the exponent they were made with") {
  CHECK(law_h(1.2, 100.0, 20.0, 10.0) == Approx(8.705506).epsilon(1e-6));
  CHECK(law_h(1.2, 100.0, 20.0, 20.0) == Approx(3.789292).epsilon(1e-6));
  const std::vector<RatePoint> points = {point(5.0, 100.0), point(20.0, 20.0 * 3.789292)};
  const auto found = peukert(points, Chemistry::agm);
  REQUIRE(found);
  CHECK(found->exponent.value == Approx(1.2).epsilon(1e-6));
  CHECK(found->runs == 2);
  CHECK(found->cautions.empty());
  const auto at_10_a = found->charge_ah(10.0);
  REQUIRE(at_10_a);
  CHECK(at_10_a->value == Approx(87.05506).epsilon(1e-6));
}

// Published example (an electrical tutorial): 100 Ah on the basis of 1 A, k = 1.2, 5 A: 14.5 h.
TEST_CASE("the published example of 14.5 hours") {
  const std::vector<RatePoint> points = {point(1.0, 100.0),
                                         point(10.0, 10.0 * law_h(1.2, 100.0, 100.0, 10.0))};
  const auto found = peukert(points, Chemistry::flooded);
  REQUIRE(found);
  CHECK(found->charge_ah(5.0)->value / 5.0 == Approx(14.5).margin(0.05));
  CHECK(found->charge_ah(5.0)->value / 5.0 == Approx(14.495593).epsilon(1e-6));
}

// 100 Ah at 20 h, k = 1.1: 93.30330, 87.05506, 79.43282 and 74.11344 Ah at 10, 20, 50 and 100 A
// (worked outside this program; the exponents printed for AGM are 1.05 to 1.15).
TEST_CASE("many runs on the law's own line give it back") {
  const std::vector<RatePoint> points = {point(10.0, 93.30330), point(20.0, 87.05506),
                                         point(50.0, 79.43282), point(100.0, 74.11344)};
  const auto found = peukert(points, Chemistry::agm);
  REQUIRE(found);
  CHECK(found->exponent.value == Approx(1.1).epsilon(1e-6));
}

// JCGM 100:2008, 5.1.2, by hand: with two runs k = 1 - ln(Q2/Q1) / ln(I2/I1), so
// u(k) = hypot(u1, u2) / ln(I2/I1), u relative. 0.3 % and 0.4 % over a factor of e: 0.005.
TEST_CASE("with two runs the exponent's uncertainty is the capacities', propagated") {
  const std::vector<RatePoint> points = {point(1.0, 10.0, 0.003), point(std::exp(1.0), 9.0, 0.004)};
  const auto found = peukert(points, Chemistry::gel);
  REQUIRE(found);
  CHECK(found->exponent.expanded_uncertainty == Approx(2.0 * 0.005).epsilon(1e-9));
  CHECK(found->exponent.coverage_factor == 2.0);
}

// JCGM 100:2008, Table G.2: t = 12.71 for one degree of freedom. Three runs at ln I = -1, 0, 1 with
// ln Q off the line by d, -2d, d: the scatter is d sqrt 6, the slope's error that over sqrt 2.
TEST_CASE("with three runs their own scatter counts where it is more") {
  const double d = 0.001;
  const double e = std::exp(1.0);
  const std::vector<RatePoint> points = {point(1.0 / e, 10.0 * std::exp(0.2 + d), 1e-5),
                                         point(1.0, 10.0 * std::exp(-2.0 * d), 1e-5),
                                         point(e, 10.0 * std::exp(-0.2 + d), 1e-5)};
  const auto found = peukert(points, Chemistry::agm);
  REQUIRE(found);
  CHECK(found->exponent.value == Approx(1.2).epsilon(1e-9));
  CHECK(found->exponent.expanded_uncertainty == Approx(12.71 * d * std::sqrt(3.0)).epsilon(1e-6));
  CHECK(found->exponent.coverage_factor == Approx(12.71));
}

TEST_CASE("beyond the measured currents nothing is said") {
  const std::vector<RatePoint> points = {point(5.0, 100.0), point(20.0, 75.78584)};
  const auto found = peukert(points, Chemistry::agm);
  REQUIRE(found);
  CHECK(mentions(found->charge_ah(25.0).why(), "outside the 5.00 to 20.00 A"));
  CHECK_FALSE(found->charge_ah(4.9));
  CHECK_FALSE(found->charge_ah(std::nan("")));
}

TEST_CASE("runs that a cell ended are alike where the cells were") {
  std::vector<RatePoint> points = {point(5.0, 100.0), point(20.0, 75.0)};
  points[1].to_voltage_v = 11.0;
  CHECK(mentions(peukert(points, Chemistry::lfp).why(), "unlike voltages, 10.50 to 11.00 V"));
  points[0].cell_end_v = points[1].cell_end_v = 2.5;
  CHECK(peukert(points, Chemistry::lfp));
  points[1].cell_end_v = 2.0;
  CHECK(mentions(peukert(points, Chemistry::lfp).why(), "2.00 to 2.50 V of a cell"));
}

TEST_CASE("where the law may not apply it is said") {
  std::vector<RatePoint> points = {point(5.0, 100.0), point(20.0, 75.78584)};
  SECTION("another chemistry") {
    const auto found = peukert(points, Chemistry::lfp);
    REQUIRE(found);
    CHECK(mentions(found->cautions.at(0), "close to 1 and no constant of the cell"));
  }
  SECTION("other temperatures") {
    points[1].temperature_c = 15.0;
    CHECK(mentions(peukert(points, Chemistry::agm)->cautions.at(0), "15 to 25"));
  }
  SECTION("a temperature that nobody measured") {
    points[1].temperature_c.reset();
    CHECK(mentions(peukert(points, Chemistry::agm)->cautions.at(0), "not known"));
  }
  SECTION("a wide range") {
    points[0] = point(1.5, 127.0);
    CHECK(mentions(peukert(points, Chemistry::agm)->cautions.at(0), "factor of ten"));
  }
}

TEST_CASE("the exponent is the same whatever the scale") {
  const double scale = GENERATE(1e-9, 1e9);
  const std::vector<RatePoint> usual = {point(5.0, 100.0), point(20.0, 75.0)};
  std::vector<RatePoint> scaled = usual;
  for (RatePoint& run : scaled) {
    run.current_a *= scale;
    run.charge_ah.value *= scale;
    run.charge_ah.expanded_uncertainty *= scale;
  }
  const auto found = peukert(scaled, Chemistry::agm);
  REQUIRE(found);
  CHECK(found->exponent.value ==
        Approx(peukert(usual, Chemistry::agm)->exponent.value).epsilon(1e-9));
}

TEST_CASE("runs that cannot tell an exponent have a reason instead") {
  std::vector<RatePoint> points = {point(5.0, 100.0), point(20.0, 75.0)};
  SECTION("one run") {
    points.pop_back();
    CHECK(mentions(peukert(points, Chemistry::agm).why(), "two or more"));
  }
  SECTION("none") {
    CHECK(mentions(peukert({}, Chemistry::agm).why(), "two or more"));
  }
  SECTION("one current") {
    points[1].current_a = 5.5;
    CHECK(mentions(peukert(points, Chemistry::agm).why(), "too much alike"));
  }
  SECTION("unlike end voltages") {
    points[1].to_voltage_v = 10.8;
    CHECK(mentions(peukert(points, Chemistry::agm).why(), "unlike voltages"));
  }
  SECTION("no fall") {
    points[1] = point(20.0, 100.05);
    CHECK(mentions(peukert(points, Chemistry::agm).why(), "does not fall"));
  }
  SECTION("no charge, or no number") {
    points[1].charge_ah.value = GENERATE(0.0, -1.0, std::nan(""), HUGE_VAL);
    CHECK(mentions(peukert(points, Chemistry::agm).why(), "no charge"));
  }
  SECTION("a doubt or an end that is no number") {
    const double none = GENERATE(std::nan(""), HUGE_VAL);
    (GENERATE(true, false) ? points[0].charge_ah.expanded_uncertainty : points[0].to_voltage_v) =
        none;
    CHECK(mentions(peukert(points, Chemistry::agm).why(), "no number"));
  }
  SECTION("no current, or no number") {
    points[0].current_a = GENERATE(0.0, -5.0, std::nan(""), HUGE_VAL);
    CHECK(mentions(peukert(points, Chemistry::agm).why(), "no charge"));
  }
}

Finding<Capacity> measured(double charge_ah, std::optional<double> temperature_c) {
  Capacity capacity;
  capacity.charge_ah = {charge_ah, 0.2, 2.0};
  capacity.temperature_c = temperature_c;
  return capacity;
}

// IEC 60896-11/-21, capacity test: Ca = C / (1 + lambda (theta - 20)); 0.006 for slow discharges
// and 0.010 for about an hour (formula from memory, numbers worked outside this program). The
// second set is the practice of GB/T 19638, base 25 degC.
TEST_CASE("a stated coefficient takes the capacity to its reference temperature") {
  struct Row {
    double at_c, per_k, reference_c, expected_ah;
  };
  const Row row = GENERATE(Row{12.0, 0.006, 20.0, 99.789916}, Row{30.0, 0.010, 20.0, 86.363636},
                           Row{12.0, 0.006, 25.0, 103.036876}, Row{12.0, 0.008, 25.0, 106.026786},
                           Row{12.0, 0.010, 25.0, 109.195402});
  const auto found =
      capacity_at_reference(measured(95.0, row.at_c), {}, {row.per_k, row.reference_c});
  REQUIRE(found);
  CHECK(found->value == Approx(row.expected_ah).epsilon(1e-8));
}

// By hand: at the reference itself nothing is corrected, but a thermometer good to +/-1 K leaves
// 0.6 % of 95 Ah, rectangular: 0.57 / sqrt 3 Ah, beside the 0.1 Ah of the capacity.
TEST_CASE("the thermometer is in doubt as well") {
  BenchAccuracy accuracy;
  accuracy.temperature_c = 1.0;
  const auto found = capacity_at_reference(measured(95.0, 20.0), accuracy, {0.006, 20.0});
  REQUIRE(found);
  CHECK(found->value == Approx(95.0));
  CHECK(found->expanded_uncertainty ==
        Approx(2.0 * std::hypot(0.1, 0.57 / std::sqrt(3.0))).epsilon(1e-9));
}

TEST_CASE("a capacity that cannot be corrected has a reason instead") {
  const TemperatureCoefficient coefficient{0.006, 20.0};
  CHECK(capacity_at_reference(Finding<Capacity>::missing("no samples"), {}, coefficient).why() ==
        "no samples");
  CHECK(mentions(capacity_at_reference(measured(95.0, std::nullopt), {}, coefficient).why(),
                 "not measured"));
  CHECK(mentions(capacity_at_reference(measured(95.0, -80.0), {}, {0.010, 20.0}).why(),
                 "leaves no capacity"));
  const double none = GENERATE(std::nan(""), HUGE_VAL, -HUGE_VAL);
  CHECK(mentions(capacity_at_reference(measured(95.0, 20.0), {}, {none, 20.0}).why(), "no number"));
  CHECK(
      mentions(capacity_at_reference(measured(95.0, 20.0), {}, {0.006, none}).why(), "no number"));
}

}  // namespace
}  // namespace sagbench::analysis
