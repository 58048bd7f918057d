// Linear least squares against the linear sets of NIST's Statistical Reference Datasets. Source:
// data/nist/README.md.

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

#include "analysis/linear_fit.hpp"
#include "catch.hpp"
#include "nist_file.hpp"

namespace sagbench::analysis {
namespace {

using testing::digits;
using testing::NistFile;

constexpr double kCertified = 14.0;

/// The x of a file as columns, behind one of ones where there is a constant.
Eigen::MatrixXd columns_of(const NistFile& file, bool constant) {
  const auto first = static_cast<Eigen::Index>(constant ? 1 : 0);
  const auto wide = std::ssize(file.rows.front()) - 1;
  Eigen::MatrixXd columns = Eigen::MatrixXd::Ones(std::ssize(file.rows), wide + first);
  for (Eigen::Index row = 0; row < columns.rows(); ++row)
    for (Eigen::Index i = 0; i < wide; ++i)
      columns(row, first + i) =
          file.rows[static_cast<std::size_t>(row)][static_cast<std::size_t>(i) + 1];
  return columns;
}

void check(const std::string& name, const NistFile& file, const Finding<LinearFit>& fit,
           double least_digits) {
  INFO(name << " " << fit.why());
  REQUIRE(fit);
  REQUIRE(fit->parameters.size() == file.parameters.size());
  double values = kCertified, errors = kCertified;
  for (std::size_t i = 0; i < file.parameters.size(); ++i) {
    const auto& found = fit->parameters[i];
    values = std::min(values, digits(found.value, file.parameters[i].value, kCertified));
    errors = std::min(errors,
                      digits(*found.standard_error, file.parameters[i].standard_error, kCertified));
  }
  const double sd = digits(fit->residual_sd, file.residual_sd, kCertified);
  REQUIRE(fit->r_squared);
  const double r_squared = digits(*fit->r_squared, file.r_squared, kCertified);
  fmt::print("{:<8} {:>10.1f} {:>10.1f} {:>10.1f} {:>10.1f}\n", name, values, errors, sd,
             r_squared);
  CHECK(values >= least_digits);
  CHECK(errors >= least_digits);
  CHECK(sd >= least_digits);
  CHECK(r_squared >= least_digits);
  CHECK(fit->degrees_of_freedom == file.rows.size() - file.parameters.size());
}

}  // namespace

TEST_CASE("NIST's linear sets") {
  fmt::print("{:<8} {:>10} {:>10} {:>10} {:>10}\n", "digits", "parameters", "std errors",
             "resid. sd", "R squared");
  for (const std::string name : {"NoInt1", "NoInt2"}) {
    const NistFile file = testing::nist_file("linear/" + name);
    check(name, file, fit_linear(columns_of(file, false), file.column(0)), 13.0);
  }
  const NistFile longley = testing::nist_file("linear/Longley");
  check("Longley", longley, fit_linear(columns_of(longley, true), longley.column(0)), 10.0);
  const NistFile norris = testing::nist_file("linear/Norris");
  check("Norris", norris, fit_polynomial(norris.column(1), norris.column(0), 1), 11.0);
  const NistFile pontius = testing::nist_file("linear/Pontius");
  check("Pontius", pontius, fit_polynomial(pontius.column(1), pontius.column(0), 2), 10.0);
  // Eleven powers of x in -9 ... -3: rounding the powers alone costs half of the 16 digits.
  const NistFile filip = testing::nist_file("linear/Filip");
  check("Filip", filip, fit_polynomial(filip.column(1), filip.column(0), 10), 6.0);
}

}  // namespace sagbench::analysis
