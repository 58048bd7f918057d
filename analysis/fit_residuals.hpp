#pragma once
// Residuals of a model and how they change with its parameters.

#include <Eigen/Core>
#include <span>
#include <vector>

#include "analysis/nonlinear_fit.hpp"

namespace sagbench::analysis {

/// Points that a difference quotient is taken from.
enum class Stencil { coarse, fine };          // relative error about 1e-10, 1e-12
inline constexpr double kSlopeError = 1e-10;  // well above that of the fine one

/// Of a task that has been found sound. Parameters are arrays of parameters() values.
class FitResiduals {
 public:
  explicit FitResiduals(const FitTask& task);

  Eigen::Index observations() const noexcept { return observations_; }
  Eigen::Index parameters() const noexcept { return parameters_; }
  const FitTask& task() const noexcept { return task_; }
  const Bounds& bounds(Eigen::Index parameter) const noexcept;
  /// That of a value of a parameter, in orders of magnitude: what a derivative's step is taken
  /// from.
  double size(Eigen::Index parameter, double value) const noexcept;
  /// Root mean square of the observations, in standard deviations; 1 where they are all zero.
  double observed_rms() const noexcept { return observed_rms_; }

  /// (predicted - observed) / standard deviation; false where the model predicts nothing.
  bool residuals(const double* parameters, Eigen::VectorXd& residuals) const;
  /// Their derivatives, a column a parameter; false where they are not to be had.
  bool slopes(const double* parameters, Stencil stencil, Eigen::MatrixXd& slopes) const;

  /// Bends residuals so that their squares sum up to what is to be least: without `huber` they
  /// stay.
  void bend(Eigen::VectorXd& residuals) const;
  /// Turns derivatives of plain residuals into those of bent ones.
  void bend(const Eigen::VectorXd& plain_residuals, Eigen::MatrixXd& slopes) const;

 private:
  bool slope(std::vector<double>& at, Eigen::Index parameter, Stencil stencil,
             Eigen::Ref<Eigen::VectorXd> column) const;
  bool predict(std::span<const double> at, Eigen::VectorXd& predictions) const;

  const FitTask& task_;
  Eigen::Index observations_;
  Eigen::Index parameters_;
  double observed_rms_ = 1.0;
  std::vector<double> scales_;  // of the parameters
};

}  // namespace sagbench::analysis
