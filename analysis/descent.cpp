#include "analysis/descent.hpp"

#include <ceres/ceres.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <utility>

#include "analysis/design_matrix.hpp"
#include "analysis/observations.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kRest = 1e-6;  // of the standard errors
constexpr double kRounding = 1e-14;
constexpr const char* kNowhere = "the model cannot be evaluated at any start";
constexpr int kMostSteps = 50;
constexpr int kMostIterations = 500;

/// What Ceres asks. In units of the observations' size, since some of its limits are absolute.
class Cost : public ceres::CostFunction {
 public:
  explicit Cost(const FitResiduals& residuals) : residuals_(residuals) {
    set_num_residuals(static_cast<int>(residuals.observations()));
    mutable_parameter_block_sizes()->push_back(static_cast<int>(residuals.parameters()));
  }

  bool Evaluate(const double* const* parameters, double* values,
                double** jacobians) const override {
    Eigen::VectorXd plain;
    if (!residuals_.residuals(parameters[0], plain)) return false;
    Eigen::VectorXd found = plain;
    residuals_.bend(found);
    const double unit = residuals_.observed_rms();
    Eigen::Map<Eigen::VectorXd>(values, found.size()) = found / unit;
    if (jacobians == nullptr || jacobians[0] == nullptr) return true;
    Eigen::MatrixXd slopes;
    if (residuals_.slopes(parameters[0], Stencil::coarse, slopes))
      residuals_.bend(plain, slopes);
    else
      slopes.setZero();  // ends the descent; a failure would be written to standard error
    for (Eigen::Index row = 0; row < slopes.rows(); ++row)
      for (Eigen::Index column = 0; column < slopes.cols(); ++column)
        jacobians[0][row * slopes.cols() + column] = slopes(row, column) / unit;
    return true;
  }

 private:
  const FitResiduals& residuals_;
};

/// Leaves `at` where it comes to. Precondition: the model can be evaluated at the start.
void marquardt(const FitResiduals& residuals, std::vector<double>& at) {
  ceres::Problem problem;
  problem.AddResidualBlock(new Cost(residuals), nullptr, at.data());  // Ceres owns the cost
  for (Eigen::Index i = 0; i < residuals.parameters(); ++i) {
    const Bounds& bounds = residuals.bounds(i);
    if (std::isfinite(bounds.lower))
      problem.SetParameterLowerBound(at.data(), static_cast<int>(i), bounds.lower);
    if (std::isfinite(bounds.upper))
      problem.SetParameterUpperBound(at.data(), static_cast<int>(i), bounds.upper);
  }
  ceres::Solver::Options options;
  options.linear_solver_type = ceres::DENSE_QR;
  options.logging_type = ceres::SILENT;
  options.max_num_iterations = kMostIterations;
  options.function_tolerance = 1e-14;
  options.gradient_tolerance = 0.0;
  options.parameter_tolerance = 1e-14;
  options.max_num_consecutive_invalid_steps = kMostIterations;  // the radius ends them, silently
  ceres::Solver::Summary summary;
  ceres::Solve(options, &problem, &summary);
}

/// The problem at one place as a linear one.
struct Tangent {
  Eigen::VectorXd bent;    // residuals
  Eigen::MatrixXd slopes;  // of the free parameters
  std::vector<Eigen::Index> free;
};

bool tangent_at(const FitResiduals& residuals, const std::vector<double>& at, Tangent& tangent) {
  Eigen::VectorXd plain;
  Eigen::MatrixXd slopes;
  if (!residuals.residuals(at.data(), plain) || !residuals.slopes(at.data(), Stencil::fine, slopes))
    return false;
  tangent.bent = plain;
  residuals.bend(tangent.bent);
  residuals.bend(plain, slopes);
  tangent.free = free_parameters(residuals, at, -slopes.transpose() * tangent.bent);
  tangent.slopes = slopes(Eigen::all, tangent.free);
  return true;
}

/// Takes the step of the linear problem, up to the bounds.
void step_to(const FitResiduals& residuals, const Tangent& tangent, const Eigen::VectorXd& step,
             std::vector<double>& at) {
  for (std::size_t i = 0; i < tangent.free.size(); ++i) {
    const Bounds& bounds = residuals.bounds(tangent.free[i]);
    double& value = at[static_cast<std::size_t>(tangent.free[i])];
    value = std::clamp(value + step[static_cast<Eigen::Index>(i)], bounds.lower, bounds.upper);
  }
}

/// Whether a step that changes the residuals by `open` (root of the sum of squares) is as good as
/// none.
bool rests(const FitResiduals& residuals, double squares, double open) {
  const auto parameters = static_cast<double>(residuals.parameters());
  const auto left_over = static_cast<double>(residuals.observations()) - parameters;
  return open / std::sqrt(parameters) <=
         kRest * std::sqrt(squares / left_over) + kRounding * residuals.observed_rms();
}

/// The first free parameter whose whole size is not felt in the residuals, as that of a decay that
/// takes for ever: it could as well be any other.
std::optional<Eigen::Index> unfelt(const FitResiduals& residuals, const std::vector<double>& at,
                                   const Tangent& tangent) {
  constexpr double kFelt = 1e-12;  // of the observations
  const double least =
      kFelt * residuals.observed_rms() * std::sqrt(static_cast<double>(residuals.observations()));
  for (std::size_t i = 0; i < tangent.free.size(); ++i) {
    const Eigen::Index parameter = tangent.free[i];
    const double size = residuals.size(parameter, at[static_cast<std::size_t>(parameter)]);
    if (!(size * tangent.slopes.col(static_cast<Eigen::Index>(i)).stableNorm() > least))
      return parameter;
  }
  return std::nullopt;
}

/// Why a place is not a minimum; empty where it is one.
std::string objection(const FitResiduals& residuals, const std::vector<double>& at,
                      const Tangent& tangent, double open) {
  if (const auto parameter = unfelt(residuals, at, tangent))
    return undetermined(static_cast<std::size_t>(*parameter));
  if (rests(residuals, tangent.bent.squaredNorm(), open)) return {};
  return "the fit did not come to rest";
}

/// Gauss-Newton as long as steps become shorter and the squares do not grow.
Descent settled(const FitResiduals& residuals, std::vector<double> at) {
  constexpr double kShorter = 0.9;
  constexpr double kLost = 1e-9;  // of the squares, for the sake of a step that is shorter
  Descent best{at, std::numeric_limits<double>::infinity(), kNowhere};
  double shortest = std::numeric_limits<double>::infinity();
  for (int i = 0; i < kMostSteps; ++i) {
    Tangent tangent;
    if (!tangent_at(residuals, at, tangent)) break;
    const double squares = tangent.bent.squaredNorm();
    if (squares > (1.0 + kLost) * best.squares) break;
    if (tangent.free.empty()) return {at, squares, {}};
    const DesignMatrix design(tangent.slopes, kSlopeError);
    if (const auto column = design.dependent()) {
      if (std::isinf(shortest))
        best = {at, squares,
                undetermined(
                    static_cast<std::size_t>(tangent.free[static_cast<std::size_t>(*column)]))};
      break;
    }
    const double open = design.reach(tangent.bent);
    if (!(open < kShorter * shortest)) break;
    shortest = open;
    best = {at, squares, objection(residuals, at, tangent, open)};
    step_to(residuals, tangent, design.solve(-tangent.bent), at);
  }
  return best;
}

}  // namespace

std::vector<Eigen::Index> free_parameters(const FitResiduals& residuals,
                                          const std::vector<double>& at,
                                          const Eigen::VectorXd& downhill) {
  std::vector<Eigen::Index> free;
  for (Eigen::Index i = 0; i < residuals.parameters(); ++i) {
    const Bounds& bounds = residuals.bounds(i);
    const double value = at[static_cast<std::size_t>(i)];
    const bool held = (value <= bounds.lower && downhill[i] <= 0.0) ||
                      (value >= bounds.upper && downhill[i] >= 0.0);
    if (!held) free.push_back(i);
  }
  return free;
}

Descent descend(const FitResiduals& residuals, const std::vector<double>& start) {
  Eigen::VectorXd plain;
  if (!residuals.residuals(start.data(), plain))
    return {start, std::numeric_limits<double>::infinity(), kNowhere};
  std::vector<double> at = start;
  marquardt(residuals, at);
  return settled(residuals, std::move(at));
}

}  // namespace sagbench::analysis
