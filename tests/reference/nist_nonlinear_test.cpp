// Nonlinear least squares against all 27 nonlinear sets of NIST's Statistical Reference Datasets,
// from both of their starts. Source: data/nist/README.md.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <span>
#include <string>
#include <vector>

#include "analysis/nonlinear_fit.hpp"
#include "catch.hpp"
#include "nist_file.hpp"

namespace sagbench::analysis {
namespace {

using testing::digits;
using testing::NistFile;

using Parameters = std::span<const double>;
using Row = std::vector<double>;  // y, then x
using Formula = double (*)(Parameters b, const Row& row);

constexpr double kCertified = 11.0;  // digits, of all nonlinear sets

double polynomial(Parameters b, double x) {
  double sum = 0.0;
  for (std::size_t i = b.size(); i-- > 0;) sum = sum * x + b[i];
  return sum;
}
double exponentials(Parameters b, double x) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < b.size(); i += 2) sum += b[i] * std::exp(-b[i + 1] * x);
  return sum;
}
double bell(double x, double middle, double width) {
  const double away = (x - middle) / width;
  return std::exp(-away * away);
}

double bennett5(Parameters b, const Row& row) {
  return b[0] * std::pow(b[1] + row[1], -1.0 / b[2]);
}
double box_bod(Parameters b, const Row& row) {
  return b[0] * (1.0 - std::exp(-b[1] * row[1]));
}
double chwirut(Parameters b, const Row& row) {
  return std::exp(-b[0] * row[1]) / (b[1] + b[2] * row[1]);
}
double dan_wood(Parameters b, const Row& row) {
  return b[0] * std::pow(row[1], b[1]);
}
double eckerle4(Parameters b, const Row& row) {
  const double away = (row[1] - b[2]) / b[1];
  return b[0] / b[1] * std::exp(-0.5 * away * away);
}
double enso(Parameters b, const Row& row) {
  const double turn = 2.0 * std::numbers::pi * row[1];
  return b[0] + b[1] * std::cos(turn / 12.0) + b[2] * std::sin(turn / 12.0) +
         b[4] * std::cos(turn / b[3]) + b[5] * std::sin(turn / b[3]) +
         b[7] * std::cos(turn / b[6]) + b[8] * std::sin(turn / b[6]);
}
double gauss(Parameters b, const Row& row) {
  return exponentials(b.first(2), row[1]) + b[2] * bell(row[1], b[3], b[4]) +
         b[5] * bell(row[1], b[6], b[7]);
}
double kirby2(Parameters b, const Row& row) {
  return polynomial(b.first(3), row[1]) / (1.0 + row[1] * polynomial(b.last(2), row[1]));
}
double cubics(Parameters b, const Row& row) {  // Hahn1 and Thurber
  return polynomial(b.first(4), row[1]) / (1.0 + row[1] * polynomial(b.last(3), row[1]));
}
double lanczos(Parameters b, const Row& row) {
  return exponentials(b, row[1]);
}
double mgh09(Parameters b, const Row& row) {
  const double x = row[1];
  return b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3]);
}
double mgh10(Parameters b, const Row& row) {
  return b[0] * std::exp(b[1] / (row[1] + b[2]));
}
double mgh17(Parameters b, const Row& row) {
  return b[0] + b[1] * std::exp(-row[1] * b[3]) + b[2] * std::exp(-row[1] * b[4]);
}
double misra1b(Parameters b, const Row& row) {
  return b[0] * (1.0 - std::pow(1.0 + b[1] * row[1] / 2.0, -2.0));
}
double misra1c(Parameters b, const Row& row) {
  return b[0] * (1.0 - std::pow(1.0 + 2.0 * b[1] * row[1], -0.5));
}
double misra1d(Parameters b, const Row& row) {
  return b[0] * b[1] * row[1] / (1.0 + b[1] * row[1]);
}
double nelson(Parameters b, const Row& row) {  // of log y
  return b[0] - b[1] * row[1] * std::exp(-b[2] * row[2]);
}
double rat42(Parameters b, const Row& row) {
  return b[0] / (1.0 + std::exp(b[1] - b[2] * row[1]));
}
double rat43(Parameters b, const Row& row) {
  return b[0] / std::pow(1.0 + std::exp(b[1] - b[2] * row[1]), 1.0 / b[3]);
}
double roszman1(Parameters b, const Row& row) {
  return b[0] - b[1] * row[1] - std::atan(b[2] / (row[1] - b[3])) / std::numbers::pi;
}

struct Set {
  const char* name;
  Formula formula;
};
constexpr Set kSets[] = {
    {"Bennett5", bennett5}, {"BoxBOD", box_bod},    {"Chwirut1", chwirut},  {"Chwirut2", chwirut},
    {"DanWood", dan_wood},  {"ENSO", enso},         {"Eckerle4", eckerle4}, {"Gauss1", gauss},
    {"Gauss2", gauss},      {"Gauss3", gauss},      {"Hahn1", cubics},      {"Kirby2", kirby2},
    {"Lanczos1", lanczos},  {"Lanczos2", lanczos},  {"Lanczos3", lanczos},  {"MGH09", mgh09},
    {"MGH10", mgh10},       {"MGH17", mgh17},       {"Misra1a", box_bod},   {"Misra1b", misra1b},
    {"Misra1c", misra1c},   {"Misra1d", misra1d},   {"Nelson", nelson},     {"Rat42", rat42},
    {"Rat43", rat43},       {"Roszman1", roszman1}, {"Thurber", cubics}};

std::vector<double> observed_of(const NistFile& file, const std::string& name) {
  auto observed = file.column(0);
  if (name == "Nelson")
    for (double& value : observed) value = std::log(value);
  return observed;
}

Finding<Fit> fitted(const Set& set, const NistFile& file, const std::vector<double>& start,
                    int more_starts) {
  const auto observed = observed_of(file, set.name);
  FitTask task;
  task.model = [&](Parameters b, std::span<double> predictions) {
    for (std::size_t i = 0; i < predictions.size(); ++i)
      predictions[i] = set.formula(b, file.rows[i]);
    return true;
  };
  task.observed = observed;
  task.starts = {start};
  task.more_starts = more_starts;
  return fit_nonlinear(task);
}

/// The fewest digits that agree with what is certified.
struct Agreement {
  double parameters = kCertified;
  double standard_errors = kCertified;
  double residual_sd = kCertified;
};

Agreement agreement(const Fit& fit, const NistFile& file) {
  Agreement least;
  for (std::size_t i = 0; i < file.parameters.size(); ++i) {
    const auto& certified = file.parameters[i];
    const auto error = fit.parameters[i].standard_error;
    REQUIRE(error);
    least.parameters =
        std::min(least.parameters, digits(fit.value(i), certified.value, kCertified));
    least.standard_errors =
        std::min(least.standard_errors, digits(*error, certified.standard_error, kCertified));
  }
  least.residual_sd = digits(fit.residual_sd, file.residual_sd, kCertified);
  return least;
}

NistFile file_of(const Set& set) {
  return testing::nist_file(std::string("nonlinear/") + set.name);
}

const Set& set_named(const std::string& name) {
  return *std::ranges::find_if(kSets, [&](const Set& set) { return name == set.name; });
}

}  // namespace

// Lanczos1's residuals are 9e-14 of data that are about 1: double precision holds the parameters,
// and of the residuals' standard deviation, with the standard errors that follow from it, three
// digits.
TEST_CASE("NIST's 27 nonlinear sets, from either start") {
  fmt::print("{:<10} {:>5}   {:>10} {:>10} {:>10}\n", "digits of", "start", "parameters",
             "std errors", "resid. sd");
  for (const Set& set : kSets) {
    const NistFile file = file_of(set);
    REQUIRE(file.starts.size() == 2);
    for (const std::size_t start : {0U, 1U}) {
      INFO(set.name << " from start " << start + 1);
      const auto fit = fitted(set, file, file.starts[start], FitTask{}.more_starts);
      INFO(fit.why());
      REQUIRE(fit);
      const Agreement least = agreement(*fit, file);
      fmt::print("{:<10} {:>5}   {:>10.1f} {:>10.1f} {:>10.1f}\n", set.name, start + 1,
                 least.parameters, least.standard_errors, least.residual_sd);
      const bool unresolved = std::string(set.name) == "Lanczos1";
      CHECK(least.parameters >= 8.0);
      CHECK(least.standard_errors >= (unresolved ? 2.0 : 7.0));
      CHECK(least.residual_sd >= (unresolved ? 2.0 : 9.0));
      CHECK(fit->degrees_of_freedom == file.rows.size() - file.parameters.size());
    }
  }
}

// A plain Marquardt fit is known to end elsewhere here (for BoxBOD and MGH17 that was seen with one
// of a few lines): with the start alone there must be a reason and no figure.
TEST_CASE("a start that leads astray is no answer") {
  for (const std::string name : {"BoxBOD", "MGH10", "MGH17"}) {
    INFO(name);
    const Set& set = set_named(name);
    const NistFile file = file_of(set);
    const auto fit = fitted(set, file, file.starts[0], 0);
    CHECK_FALSE(fit);
    CHECK_FALSE(fit.why().empty());
  }
}

TEST_CASE("from far-off starts there is the certified minimum or a reason, never another") {
  std::mt19937 random(27);  // the standard fixes its sequence
  for (const std::string name :
       {"BoxBOD", "Chwirut2", "DanWood", "MGH09", "Misra1b", "Nelson", "Rat43", "Roszman1"}) {
    const Set& set = set_named(name);
    const NistFile file = file_of(set);
    for (int trial = 0; trial < 4; ++trial) {
      std::vector<double> start;
      for (const auto& certified : file.parameters)  // up to 1.5 decades away
        start.push_back(certified.value *
                        std::pow(10.0, 3.0 * static_cast<double>(random()) / 4294967296.0 - 1.5));
      const auto fit = fitted(set, file, start, 30);
      INFO(name << ", trial " << trial);
      if (!fit) continue;
      CHECK(agreement(*fit, file).parameters >= 8.0);
    }
  }
}

}  // namespace sagbench::analysis
