#include "analysis/nonlinear_fit.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <utility>

#include "analysis/descent.hpp"
#include "analysis/design_matrix.hpp"
#include "analysis/fit_residuals.hpp"
#include "analysis/observations.hpp"
#include "analysis/start_points.hpp"

namespace sagbench::analysis {
namespace {

using Missing = Finding<Fit>;

constexpr int kAgreeing = 3;    // starts that must lead to the same minimum
constexpr double kSame = 1e-8;  // relative difference of the squares of one and the same

std::string unsound_start(const FitTask& task, const std::vector<double>& start) {
  if (start.size() != task.starts.front().size()) return "the starts differ in length";
  if (auto why = not_finite("start value", start); !why.empty()) return why;
  for (std::size_t i = 0; i < start.size() && !task.bounds.empty(); ++i)
    if (!(start[i] >= task.bounds[i].lower && start[i] <= task.bounds[i].upper))
      return "start value " + std::to_string(i + 1) + " is out of its bounds";
  return {};
}

/// Why nothing can be fitted; empty where all is sound.
std::string unsound(const FitTask& task) {
  if (task.starts.empty()) return "there is no start";
  const std::size_t parameters = task.starts.front().size();
  if (auto why = unfit(task.observed, parameters); !why.empty()) return why;
  if (!task.bounds.empty() && task.bounds.size() != parameters)
    return "there are not as many bounds as parameters";
  if (std::ranges::any_of(task.bounds, [](const Bounds& b) { return !(b.lower < b.upper); }))
    return "a lower bound is not below its upper one";
  const auto deviations = task.standard_deviations;
  if (!deviations.empty() && deviations.size() != task.observed.size())
    return "there are not as many standard deviations as observations";
  if (auto why = not_finite("standard deviation", deviations); !why.empty()) return why;
  if (std::ranges::any_of(deviations, [](double value) { return !(value > 0.0); }))
    return "a standard deviation is not above zero";
  if (task.huber && !(*task.huber > 0.0)) return "the width of the loss is not above zero";
  for (const auto& start : task.starts)
    if (auto why = unsound_start(task, start); !why.empty()) return why;
  return {};
}

/// The lowest place found so far, and how many starts led there.
class Lowest {
 public:
  void take(Descent found, double rounding) {
    const bool minimum = found.why_not_a_minimum.empty();
    if (same(found.squares, rounding)) {
      if (minimum && !place_.why_not_a_minimum.empty()) place_ = std::move(found);
      if (minimum) ++agreeing_;
    } else if (found.squares < place_.squares || none()) {
      place_ = std::move(found);
      agreeing_ = minimum ? 1 : 0;
    }
  }
  bool none() const { return place_.parameters.empty(); }
  const Descent& place() const { return place_; }
  int agreeing() const { return agreeing_; }

 private:
  /// Differences that rounding makes are none.
  bool same(double squares, double rounding) const {
    return !none() && std::isfinite(squares) &&
           std::abs(squares - place_.squares) <= kSame * place_.squares + rounding;
  }

  Descent place_;
  int agreeing_ = 0;
};

Lowest search(const FitTask& task, const FitResiduals& residuals) {
  const double rounding = 1e-26 * residuals.observed_rms() * residuals.observed_rms() *
                          static_cast<double>(residuals.observations());
  Lowest lowest;
  for (const auto& start : task.starts) lowest.take(descend(residuals, start), rounding);
  for (int i = 0; i < task.more_starts && lowest.agreeing() < kAgreeing; ++i) {
    const auto about = static_cast<std::size_t>(i) % task.starts.size();
    const auto index = static_cast<std::size_t>(i) / task.starts.size();
    lowest.take(descend(residuals, start_point(index, task.starts[about], task.bounds)), rounding);
  }
  return lowest;
}

/// Standard deviation of one observation. With `huber`: K^2 sum(psi^2) / (n - p) / mean(psi')^2 of
/// Huber (1981), equation 6.5 of chapter 7, by which the tangent's covariance is multiplied.
double residual_sd_of(const FitTask& task, const Eigen::VectorXd& plain, double left_over) {
  if (!task.huber) return std::sqrt(plain.squaredNorm() / left_over);
  const auto count = static_cast<double>(plain.size());
  const double squares = plain.cwiseAbs().cwiseMin(*task.huber).squaredNorm();
  const double inside = static_cast<double>((plain.array().abs() <= *task.huber).count()) / count;
  const double k = 1.0 + (count - left_over) / count * (1.0 - inside) / inside;
  return k * std::sqrt(squares / left_over) / inside;
}

/// Parameters with what is in doubt about them, from the tangent at the minimum.
Finding<Fit> fit_at(const FitTask& task, const FitResiduals& residuals,
                    const std::vector<double>& at) {
  Eigen::VectorXd plain;
  Eigen::MatrixXd slopes;
  if (!residuals.residuals(at.data(), plain) || !residuals.slopes(at.data(), Stencil::fine, slopes))
    return Missing::missing("the model has no derivatives at the minimum");
  Eigen::VectorXd bent = plain;
  Eigen::MatrixXd bent_slopes = slopes;
  residuals.bend(bent);
  residuals.bend(plain, bent_slopes);
  const auto free = free_parameters(residuals, at, -bent_slopes.transpose() * bent);

  Fit fit;
  fit.degrees_of_freedom = task.observed.size() - at.size();
  fit.residual_sd = residual_sd_of(task, plain, static_cast<double>(fit.degrees_of_freedom));
  if (!std::isfinite(fit.residual_sd)) return Missing::missing(kTooLarge);
  for (const double value : at) fit.parameters.push_back({value, std::nullopt});
  fit.correlation.setIdentity(std::ssize(at), std::ssize(at));
  if (!task.standard_deviations.empty())
    plain.array() *=
        Eigen::Map<const Eigen::ArrayXd>(task.standard_deviations.data(), plain.size());
  fit.residuals.reserve(task.observed.size());
  for (const double residual : plain) fit.residuals.push_back(-residual);
  if (free.empty()) return fit;
  const DesignMatrix design(slopes(Eigen::all, free), kSlopeError);
  if (const auto column = design.dependent())
    return Missing::missing(
        undetermined(static_cast<std::size_t>(free[static_cast<std::size_t>(*column)])));
  for (std::size_t i = 0; i < free.size(); ++i)
    fit.parameters[static_cast<std::size_t>(free[i])].standard_error =
        fit.residual_sd * design.spread()[static_cast<Eigen::Index>(i)];
  fit.correlation(free, free) = design.correlation();
  return fit;
}

}  // namespace

Finding<Fit> fit_nonlinear(const FitTask& task) {
  if (auto why = unsound(task); !why.empty()) return Missing::missing(std::move(why));
  const FitResiduals residuals(task);
  if (!std::isfinite(residuals.observed_rms())) return Missing::missing(kTooLarge);
  const Lowest lowest = search(task, residuals);
  if (!lowest.place().why_not_a_minimum.empty())
    return Missing::missing(lowest.place().why_not_a_minimum);
  if (task.more_starts > 0 && lowest.agreeing() < kAgreeing)
    return Missing::missing(
        "only " + std::to_string(lowest.agreeing()) + " of " +
        std::to_string(task.starts.size() + static_cast<std::size_t>(task.more_starts)) +
        " starts lead to the least squares found; there may be lower ones");
  return fit_at(task, residuals, lowest.place().parameters);
}

}  // namespace sagbench::analysis
