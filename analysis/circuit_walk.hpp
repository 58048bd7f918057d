#pragma once
// Along the readings of a CircuitSystem, with what its branches remember. Internal to it: templates
// over the number of branches, because this is where a fit spends its time.

#include <array>
#include <cmath>
#include <cstddef>

#include "analysis/circuit_system.hpp"

namespace sagbench::analysis {

/// What a stretch of time leaves of each branch's past, and how that changes with ln(tau).
template <std::size_t branches>
class Decay {
 public:
  explicit Decay(const double* log_taus) {
    for (std::size_t k = 0; k < branches; ++k) rate_[k] = std::exp(-log_taus[k]);
    kept.fill(1.0);
  }
  void over(double seconds) noexcept {
    // Most stretches are alike but for the rounding of their times.
    constexpr double kAlike = 1e-9;
    if (std::abs(seconds - seconds_) <= kAlike * seconds_) return;
    seconds_ = seconds;
    for (std::size_t k = 0; k < branches; ++k) {
      kept[k] = std::exp(-seconds * rate_[k]);
      by_log_tau[k] = kept[k] * seconds * rate_[k];
    }
  }

  std::array<double, branches> kept{};
  std::array<double, branches> by_log_tau{};

 private:
  std::array<double, branches> rate_{};
  double seconds_ = 0.0;
};

/// The current as each branch sees it, and its derivative by ln(tau).
template <std::size_t branches>
struct Past {
  std::array<double, branches> seen_a{};
  std::array<double, branches> by_log_tau_a{};

  void advance(double current_a, const Decay<branches>& decay) noexcept {
    for (std::size_t k = 0; k < branches; ++k) {
      const double from_a = seen_a[k] - current_a;
      by_log_tau_a[k] = by_log_tau_a[k] * decay.kept[k] + from_a * decay.by_log_tau[k];
      seen_a[k] = current_a + from_a * decay.kept[k];
    }
  }
};

/// Derivatives by the parameters that are at work at one reading, in the order of index_of().
template <std::size_t branches>
using LocalGradient = std::array<double, 4 + 3 * branches>;

class CircuitWalk {
 public:
  using Row = CircuitRecord::Row;

  /// take(row, r, gradient) for each reading that counts; `gradient()` computes a LocalGradient.
  template <std::size_t branches, class Take>
  static void along(const CircuitSystem& system, const double* parameters, const Take& take) {
    Decay<branches> before(parameters + system.log_tau(1)), after(parameters + system.log_tau(1));
    Past<branches> past;
    for (const Row& row : system.record_.rows()) {
      if (row.begins) past = {};
      if (row.before_s > 0.0) {
        before.over(row.before_s);
        past.advance(row.before_a, before);
      }
      after.over(row.after_s);
      past.advance(row.current_a, after);
      if (system.few_ && !row.few) continue;
      const auto ohms = ohms_at<branches>(system, parameters, row);
      double voltage_v = value(parameters, row.source_left, row.source_right, row.source_share);
      voltage_v -= ohms[0] * row.current_a;
      for (std::size_t k = 0; k < branches; ++k) voltage_v -= ohms[k + 1] * past.seen_a[k];
      take(row, voltage_v - row.voltage_v, [&] { return gradient_of<branches>(row, ohms, past); });
    }
  }

  /// Of each entry of a LocalGradient among all parameters.
  template <std::size_t branches>
  static std::array<std::size_t, 4 + 3 * branches> index_of(const CircuitSystem& system,
                                                            const Row& row) {
    std::array<std::size_t, 4 + 3 * branches> index;
    index[0] = row.source_left;
    index[1] = row.source_right;
    for (std::size_t k = 0; k <= branches; ++k) {
      index[2 + 2 * k] = system.first_ohm(k) + row.resistance_left;
      index[3 + 2 * k] = system.first_ohm(k) + row.resistance_right;
    }
    for (std::size_t k = 1; k <= branches; ++k) index[3 + 2 * branches + k] = system.log_tau(k);
    return index;
  }

  /// The same parameters are at work.
  static bool alike(const Row& one, const Row& other) noexcept {
    return one.source_left == other.source_left && one.source_right == other.source_right &&
           one.resistance_left == other.resistance_left &&
           one.resistance_right == other.resistance_right;
  }

 private:
  static double value(const double* values, std::size_t left, std::size_t right, double share) {
    return values[left] + share * (values[right] - values[left]);
  }

  template <std::size_t branches>
  static std::array<double, branches + 1> ohms_at(const CircuitSystem& system,
                                                  const double* parameters, const Row& row) {
    std::array<double, branches + 1> ohms;
    for (std::size_t k = 0; k <= branches; ++k)
      ohms[k] = value(parameters + system.first_ohm(k), row.resistance_left, row.resistance_right,
                      row.resistance_share);
    return ohms;
  }

  template <std::size_t branches>
  static LocalGradient<branches> gradient_of(const Row& row,
                                             const std::array<double, branches + 1>& ohms,
                                             const Past<branches>& past) {
    LocalGradient<branches> gradient;
    gradient[0] = 1.0 - row.source_share;
    gradient[1] = row.source_share;
    gradient[2] = -row.current_a * (1.0 - row.resistance_share);
    gradient[3] = -row.current_a * row.resistance_share;
    for (std::size_t k = 0; k < branches; ++k) {
      gradient[4 + 2 * k] = -past.seen_a[k] * (1.0 - row.resistance_share);
      gradient[5 + 2 * k] = -past.seen_a[k] * row.resistance_share;
      gradient[4 + 2 * branches + k] = -ohms[k + 1] * past.by_log_tau_a[k];
    }
    return gradient;
  }
};

/// what.template operator()<branches>() for the system's number of branches.
template <class What>
auto by_branches(std::size_t branches, const What& what) {
  switch (branches) {
    case 1:
      return what.template operator()<1>();
    case 2:
      return what.template operator()<2>();
    default:
      return what.template operator()<3>();
  }
}

/// Weight of a residual by Huber's loss.
inline double huber_weight(double residual_v, double huber_v) noexcept {
  const double size_v = std::abs(residual_v);
  return size_v <= huber_v ? 1.0 : huber_v / size_v;
}

/// Half of Huber's loss.
inline double huber_loss(double residual_v, double huber_v) noexcept {
  const double size_v = std::abs(residual_v);
  return size_v <= huber_v ? 0.5 * size_v * size_v : huber_v * (size_v - 0.5 * huber_v);
}

}  // namespace sagbench::analysis
