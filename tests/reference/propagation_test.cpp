// Correlated quantities against the worked example of JCGM 100:2008, H.2. Source:
// data/gum/README.md.

#include <cmath>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "analysis/linear_fit.hpp"
#include "analysis/summary.hpp"
#include "analysis/uncertainty_budget.hpp"
#include "catch.hpp"

namespace sagbench::analysis {
namespace {

struct Readings {
  std::vector<double> volt, ampere, radian;
};

Readings readings() {
  std::ifstream file(SAGBENCH_TEST_DATA "/reference/data/gum/h2.csv");
  Readings found;
  std::string line;
  std::getline(file, line);  // header
  while (std::getline(file, line)) {
    std::istringstream words(line);
    double number = 0.0, volt = 0.0, milliampere = 0.0, radian = 0.0;
    char comma = ' ';
    words >> number >> comma >> volt >> comma >> milliampere >> comma >> radian;
    found.volt.push_back(volt);
    found.ampere.push_back(milliampere / 1000.0);
    found.radian.push_back(radian);
  }
  return found;
}

/// Of a quantity that changes by so much for one volt, one ampere and one radian.
struct Sensitivities {
  double volt, ampere, radian;
};

/// Table H.2: the three inputs, from the readings.
class Inputs {
 public:
  Inputs() {
    const Readings from = readings();
    volt = *summary_of(from.volt);
    ampere = *summary_of(from.ampere);
    radian = *summary_of(from.radian);
    volt_ampere = *correlation_of(from.volt, from.ampere);
    volt_radian = *correlation_of(from.volt, from.radian);
    ampere_radian = *correlation_of(from.ampere, from.radian);
  }

  UncertaintyBudget budget(const Sensitivities& per) const {
    UncertaintyBudget budget;
    budget.add_normal("voltage", volt.mean_u(), "V", per.volt);
    budget.add_normal("current", ampere.mean_u(), "A", per.ampere);
    budget.add_normal("phase", radian.mean_u(), "rad", per.radian);
    budget.correlate("voltage", "current", volt_ampere);
    budget.correlate("voltage", "phase", volt_radian);
    budget.correlate("phase", "current", ampere_radian);
    return budget;
  }

  Summary volt, ampere, radian;
  double volt_ampere = 0.0, volt_radian = 0.0, ampere_radian = 0.0;
};

}  // namespace

// Values with more digits than Table H.2 prints: our own arithmetic from its readings.
TEST_CASE("GUM H.2: means, their uncertainties and correlations") {
  const Inputs inputs;
  REQUIRE(inputs.volt.count == 5);
  CHECK(inputs.volt.mean == Approx(4.9990).epsilon(1e-12));
  CHECK(inputs.ampere.mean == Approx(19.6610e-3).epsilon(1e-12));
  CHECK(inputs.radian.mean == Approx(1.04446).epsilon(1e-12));
  CHECK(inputs.volt.mean_u() == Approx(3.2093613e-3).epsilon(1e-7));
  CHECK(inputs.ampere.mean_u() == Approx(9.4710084e-6).epsilon(1e-7));
  CHECK(inputs.radian.mean_u() == Approx(7.5206383e-4).epsilon(1e-7));
  CHECK(inputs.volt_ampere == Approx(-0.36).margin(0.005));
  CHECK(inputs.volt_radian == Approx(0.86).margin(0.005));
  CHECK(inputs.ampere_radian == Approx(-0.65).margin(0.005));
}

// Table H.3: 127.732 and 0.071, 219.847 and 0.295, 254.260 and 0.236 ohm. The second uncertainty is
// 0.29558 by this approach with all digits and 0.29549 by the guide's other one, hence its margin.
TEST_CASE("GUM H.2: resistance, reactance and impedance from correlated inputs") {
  const Inputs inputs;
  const double z = inputs.volt.mean / inputs.ampere.mean;
  const double cosine = std::cos(inputs.radian.mean), sine = std::sin(inputs.radian.mean);
  const auto per = [&](double shape, double turned) {
    return Sensitivities{shape / inputs.ampere.mean, -z * shape / inputs.ampere.mean, z * turned};
  };
  CHECK(z * cosine == Approx(127.732).margin(0.0005));
  CHECK(z * sine == Approx(219.847).margin(0.0006));
  CHECK(z == Approx(254.260).margin(0.0005));
  const auto resistance = inputs.budget(per(cosine, -sine));
  const auto reactance = inputs.budget(per(sine, cosine));
  const auto impedance = inputs.budget(per(1.0, 0.0));
  CHECK(resistance.combined() == Approx(0.071).margin(0.0005));
  CHECK(reactance.combined() == Approx(0.295).margin(0.001));
  CHECK(impedance.combined() == Approx(0.236).margin(0.0005));

  // Without the correlations the answer would be another (our own arithmetic): they are used.
  auto independent = resistance;
  independent.correlations.clear();
  CHECK(independent.combined() == Approx(0.194544).epsilon(1e-4));
}

// H.3: the calibration line of a thermometer, its coefficients and their correlation -0.930; the
// correction predicted at 30 °C has u = 0.0041 °C only with it.
TEST_CASE("GUM H.3: the coefficients of a line are correlated") {
  constexpr double kAt_c = 20.0;
  const std::vector<double> readings_c = {21.521, 22.012, 22.512, 23.003, 23.507, 23.999,
                                          24.513, 25.002, 25.503, 26.010, 26.511};
  const std::vector<double> corrections_c = {-0.171, -0.169, -0.166, -0.159, -0.164, -0.165,
                                             -0.156, -0.157, -0.159, -0.161, -0.160};
  std::vector<double> above_c;
  for (const double reading : readings_c) above_c.push_back(reading - kAt_c);
  const auto fit = fit_polynomial(above_c, corrections_c, 1);
  REQUIRE(fit);
  CHECK(fit->value(0) == Approx(-0.1712).margin(5e-5));
  CHECK(*fit->parameters[0].standard_error == Approx(0.0029).margin(5e-5));
  CHECK(fit->value(1) == Approx(0.00218).margin(5e-6));
  CHECK(*fit->parameters[1].standard_error == Approx(0.00067).margin(5e-6));
  CHECK(fit->correlation(0, 1) == Approx(-0.930).margin(5e-4));
  CHECK(fit->residual_sd == Approx(0.0035).margin(5e-5));
  CHECK(fit->doubt_of(std::vector{1.0, 10.0}) == Approx(0.0041).margin(5e-5));
}

}  // namespace sagbench::analysis
