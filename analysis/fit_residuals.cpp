#include "analysis/fit_residuals.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace sagbench::analysis {
namespace {

struct Point {
  int steps;  // away from where the derivative is wanted
  double weight;
};
// Errors by the second and the fourth power of the step; the one-sided ones look upwards.
constexpr std::array kCoarse = {Point{-1, -0.5}, Point{1, 0.5}};
constexpr std::array kCoarseAside = {Point{0, -1.5}, Point{1, 2.0}, Point{2, -0.5}};
constexpr std::array kFine = {Point{-2, 1.0 / 12.0}, Point{-1, -2.0 / 3.0}, Point{1, 2.0 / 3.0},
                              Point{2, -1.0 / 12.0}};
constexpr std::array kFineAside = {Point{0, -25.0 / 12.0}, Point{1, 4.0}, Point{2, -3.0},
                                   Point{3, 4.0 / 3.0}, Point{4, -0.25}};
constexpr int kFarthest = 4;

// Steps as shares of the parameter: where truncation and rounding cost about the same.
constexpr double kCoarseStep = 6e-6;
constexpr double kFineStep = 1e-4;
constexpr double kLeastSize =
    1e-3;  // of its scale: a parameter that passes zero is not taken finer

std::span<const Point> points_of(Stencil stencil, bool aside) {
  if (stencil == Stencil::coarse)
    return aside ? std::span<const Point>(kCoarseAside) : std::span<const Point>(kCoarse);
  return aside ? std::span<const Point>(kFineAside) : std::span<const Point>(kFine);
}

double scale_of(const FitTask& task, std::size_t parameter) {
  double scale = 0.0;
  for (const auto& start : task.starts) scale = std::max(scale, std::abs(start[parameter]));
  if (scale > 0.0) return scale;
  if (task.bounds.empty()) return 1.0;
  const double width = task.bounds[parameter].upper - task.bounds[parameter].lower;
  return std::isfinite(width) && width > 0.0 ? width : 1.0;
}

constexpr Bounds kNoBounds{};

/// So that its square is twice Huber's loss.
double bent(double residual, double width) noexcept {
  const double size = std::abs(residual);
  if (size <= width) return residual;
  return std::copysign(std::sqrt(width * (2.0 * size - width)), residual);
}

}  // namespace

FitResiduals::FitResiduals(const FitTask& task)
    : task_(task),
      observations_(std::ssize(task.observed)),
      parameters_(std::ssize(task.starts.front())) {
  double squares = 0.0;
  for (std::size_t i = 0; i < task.observed.size(); ++i) {
    const double value =
        task.observed[i] / (task.standard_deviations.empty() ? 1.0 : task.standard_deviations[i]);
    squares += value * value;
  }
  const double rms = std::sqrt(squares / static_cast<double>(observations_));
  if (rms > 0.0) observed_rms_ = rms;
  for (std::size_t i = 0; i < task.starts.front().size(); ++i) scales_.push_back(scale_of(task, i));
}

const Bounds& FitResiduals::bounds(Eigen::Index parameter) const noexcept {
  return task_.bounds.empty() ? kNoBounds : task_.bounds[static_cast<std::size_t>(parameter)];
}

double FitResiduals::size(Eigen::Index parameter, double value) const noexcept {
  return std::max(std::abs(value), kLeastSize * scales_[static_cast<std::size_t>(parameter)]);
}

bool FitResiduals::predict(std::span<const double> at, Eigen::VectorXd& predictions) const {
  predictions.resize(observations_);
  const std::span out(predictions.data(), static_cast<std::size_t>(observations_));
  return task_.model(at, out) && predictions.allFinite();
}

bool FitResiduals::residuals(const double* parameters, Eigen::VectorXd& residuals) const {
  const auto count = static_cast<std::size_t>(parameters_);
  if (!predict(std::span(parameters, count), residuals)) return false;
  residuals -= Eigen::Map<const Eigen::VectorXd>(task_.observed.data(), observations_);
  if (!task_.standard_deviations.empty())
    residuals.array() /=
        Eigen::Map<const Eigen::ArrayXd>(task_.standard_deviations.data(), observations_);
  return true;
}

bool FitResiduals::slope(std::vector<double>& at, Eigen::Index parameter, Stencil stencil,
                         Eigen::Ref<Eigen::VectorXd> column) const {
  const auto place = static_cast<std::size_t>(parameter);
  const double here = at[place];
  const Bounds& range = bounds(parameter);
  double step = (stencil == Stencil::coarse ? kCoarseStep : kFineStep) * size(parameter, here);
  step = std::min(step, (range.upper - range.lower) / (2 * kFarthest));
  const bool room_above = here + kFarthest * step <= range.upper;
  const bool room_below = here - kFarthest * step >= range.lower;
  if (!room_above) step = -step;
  step = (here + step) - here;  // what the steps really come to in binary
  column.setZero();
  Eigen::VectorXd predictions;
  for (const Point& point : points_of(stencil, !room_above || !room_below)) {
    at[place] = here + point.steps * step;
    if (!predict(at, predictions)) return false;
    column += (point.weight / step) * predictions;
  }
  at[place] = here;
  return true;
}

bool FitResiduals::slopes(const double* parameters, Stencil stencil,
                          Eigen::MatrixXd& slopes) const {
  std::vector<double> at(parameters, parameters + parameters_);
  slopes.resize(observations_, parameters_);
  for (Eigen::Index parameter = 0; parameter < parameters_; ++parameter)
    if (!slope(at, parameter, stencil, slopes.col(parameter))) return false;
  if (!task_.standard_deviations.empty())
    slopes.array().colwise() /=
        Eigen::Map<const Eigen::ArrayXd>(task_.standard_deviations.data(), observations_);
  return slopes.allFinite();
}

void FitResiduals::bend(Eigen::VectorXd& residuals) const {
  if (!task_.huber) return;
  for (double& residual : residuals) residual = bent(residual, *task_.huber);
}

void FitResiduals::bend(const Eigen::VectorXd& plain_residuals, Eigen::MatrixXd& slopes) const {
  if (!task_.huber) return;
  for (Eigen::Index i = 0; i < observations_; ++i)
    if (std::abs(plain_residuals[i]) > *task_.huber)
      slopes.row(i) *= *task_.huber / std::abs(bent(plain_residuals[i], *task_.huber));
}

}  // namespace sagbench::analysis
