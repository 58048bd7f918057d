#pragma once
// One file of NIST's Statistical Reference Datasets (data/nist/README.md): what is certified, and
// the data.

#include <string>
#include <vector>

namespace sagbench::testing {

struct CertifiedParameter {
  double value = 0.0;
  double standard_error = 0.0;
};

struct NistFile {
  std::vector<std::vector<double>> starts;  // of the nonlinear sets: two
  std::vector<CertifiedParameter> parameters;
  double residual_squares = 0.0;                             // nonlinear
  double residual_sd = 0.0;                                  // linear and nonlinear
  double r_squared = 0.0;                                    // linear
  double mean = 0.0, standard_deviation = 0.0, lag_1 = 0.0;  // univariate
  std::vector<std::vector<double>> rows;                     // y, then x

  std::vector<double> column(std::size_t index) const;
};

/// `name` as "nonlinear/Misra1a". Fails the test where the file cannot be read.
NistFile nist_file(const std::string& name);

/// How many significant digits agree: -log10 of the relative difference, or of the difference where
/// the certified value is 0; at most `most`, the digits that are certified.
double digits(double found, double certified, double most);

}  // namespace sagbench::testing
