#include "analysis/circuit_fit.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "analysis/nonlinear_fit.hpp"
#include "analysis/phrasing.hpp"

namespace sagbench::analysis {
namespace {

constexpr std::size_t kStarts = 4;  // a single one may end in a local minimum
constexpr std::size_t kLeastReadings = 30;
constexpr double kWorthTheBranch = 0.8;  // of the residual with one branch less
constexpr double kExactShare = 0.001;    // of the largest sag: no branch can better this
constexpr double kApart = 2.0;           // closer time constants are one

/// Takes out of `column` what a straight line in the charge removed can explain: the open-circuit
/// voltage.
Eigen::VectorXd without_line(const Eigen::VectorXd& charge, const Eigen::VectorXd& column) {
  const Eigen::VectorXd q = charge.array() - charge.mean();
  Eigen::VectorXd rest = column.array() - column.mean();
  const double squares = q.squaredNorm();
  if (squares > 0.0) rest -= q * (q.dot(rest) / squares);
  return rest;
}

/// The linear part of the problem: voltage = line - R0 * current - sum of R * branch_drop, train by
/// train.
class Pulses {
 public:
  explicit Pulses(std::span<const PulseTrain> trains) : trains_(trains) {
    for (const PulseTrain& train : trains) readings_ += train.size();
    sag_ = stacked([](const PulseTrain& train) { return values(train, &PulseReading::voltage_v); });
    sag_ = -sag_;
    currents_ =
        stacked([](const PulseTrain& train) { return values(train, &PulseReading::current_a); });
  }

  std::size_t readings() const { return readings_; }

  /// R0, then one resistance a time constant, by least squares.
  Eigen::VectorXd resistances(std::span<const double> taus_s) const {
    return columns(taus_s).colPivHouseholderQr().solve(sag_);
  }
  std::span<const double> sag() const { return {sag_.data(), readings_}; }
  /// The part of sag() that such branches make.
  Eigen::VectorXd followed(std::span<const double> taus_s) const {
    const Eigen::MatrixXd matrix = columns(taus_s);
    return matrix * matrix.colPivHouseholderQr().solve(sag_);
  }
  double rms(std::span<const double> taus_s) const {
    return std::sqrt((sag_ - followed(taus_s)).squaredNorm() / static_cast<double>(readings_));
  }

 private:
  static Eigen::VectorXd values(const PulseTrain& train, double PulseReading::*member) {
    Eigen::VectorXd column(static_cast<Eigen::Index>(train.size()));
    for (std::size_t i = 0; i < train.size(); ++i)
      column[static_cast<Eigen::Index>(i)] = train[i].*member;
    return column;
  }

  template <class OfTrain>
  Eigen::VectorXd stacked(const OfTrain& of_train) const {
    Eigen::VectorXd all(static_cast<Eigen::Index>(readings_));
    Eigen::Index at = 0;
    for (const PulseTrain& train : trains_) {
      const auto size = static_cast<Eigen::Index>(train.size());
      all.segment(at, size) =
          without_line(values(train, &PulseReading::removed_ah), of_train(train));
      at += size;
    }
    return all;
  }

  Eigen::MatrixXd columns(std::span<const double> taus_s) const {
    Eigen::MatrixXd matrix(static_cast<Eigen::Index>(readings_),
                           static_cast<Eigen::Index>(taus_s.size()) + 1);
    matrix.col(0) = currents_;
    for (std::size_t branch = 0; branch < taus_s.size(); ++branch)
      matrix.col(static_cast<Eigen::Index>(branch) + 1) = stacked([&](const PulseTrain& train) {
        const auto drops = branch_drop(train, taus_s[branch]);
        return Eigen::VectorXd(Eigen::Map<const Eigen::VectorXd>(
            drops.data(), static_cast<Eigen::Index>(drops.size())));
      });
    return matrix;
  }

  std::span<const PulseTrain> trains_;
  std::size_t readings_ = 0;
  Eigen::VectorXd sag_;
  Eigen::VectorXd currents_;
};

/// The time constants in order that a start leads to. Absent where it leads to no minimum.
std::optional<std::vector<double>> search(const Pulses& pulses, const TauRange& span,
                                          std::vector<double> taus_s) {
  FitTask task;
  task.model = [&pulses, found = std::vector<double>()](std::span<const double> log_taus,
                                                        std::span<double> followed) mutable {
    found.assign(log_taus.begin(), log_taus.end());
    for (double& tau_s : found) tau_s = std::exp(tau_s);
    std::ranges::copy(pulses.followed(found), followed.begin());
    return true;
  };
  task.observed = pulses.sag();
  task.bounds.assign(taus_s.size(), {std::log(span.shortest_s), std::log(span.longest_s)});
  for (double& tau_s : taus_s) tau_s = std::log(tau_s);
  task.starts.push_back(std::move(taus_s));
  task.more_starts = 0;  // the caller tries its own
  const auto fit = fit_nonlinear(task);
  if (!fit) return std::nullopt;
  std::vector<double> found;
  for (const FittedParameter& log_tau : fit->parameters) found.push_back(std::exp(log_tau.value));
  std::ranges::sort(found);
  return found;
}

/// Absent without time constants, when a resistance is not positive or two branches fall together:
/// then the data do not hold such a circuit.
std::optional<Circuit> circuit_of(const Pulses& pulses,
                                  const std::optional<std::vector<double>>& found) {
  if (!found) return std::nullopt;
  const std::vector<double>& taus_s = *found;
  const Eigen::VectorXd ohms = pulses.resistances(taus_s);
  if (!(ohms.minCoeff() > 0.0)) return std::nullopt;
  for (std::size_t i = 1; i < taus_s.size(); ++i)
    if (taus_s[i] < kApart * taus_s[i - 1]) return std::nullopt;
  Circuit circuit;
  circuit.r0_ohm = ohms[0];
  for (std::size_t i = 0; i < taus_s.size(); ++i)
    circuit.branches.push_back({ohms[static_cast<Eigen::Index>(i) + 1], taus_s[i]});
  circuit.residual_rms_v = pulses.rms(taus_s);
  return circuit;
}

void keep_better(std::optional<Circuit>& best, std::optional<Circuit> found) {
  if (found && (!best || found->residual_rms_v < best->residual_rms_v)) best = std::move(found);
}

double largest_sag_v(std::span<const PulseTrain> trains, const Circuit& circuit) {
  double ohm = circuit.r0_ohm;
  for (const Branch& branch : circuit.branches) ohm += branch.r_ohm;
  return ohm * largest_current_a(trains);
}

std::optional<Circuit> best_circuit(std::span<const PulseTrain> trains, const Pulses& pulses,
                                    const TauRange& span) {
  std::optional<Circuit> one;
  std::optional<Circuit> two;
  const auto taus_s = spread_over(span, kStarts);
  for (std::size_t i = 0; i < taus_s.size(); ++i) {
    keep_better(one, circuit_of(pulses, search(pulses, span, {taus_s[i]})));
    for (std::size_t k = i + 1; k < taus_s.size(); ++k)
      keep_better(two, circuit_of(pulses, search(pulses, span, {taus_s[i], taus_s[k]})));
  }
  if (!one || !two) return one ? one : two;
  const bool followed = one->residual_rms_v < kExactShare * largest_sag_v(trains, *one);
  return !followed && two->residual_rms_v < kWorthTheBranch * one->residual_rms_v ? two : one;
}

std::string misfit(const Circuit& circuit, double allowed_v) {
  constexpr double kMilli = 1000.0;
  return "the best circuit misses the peaks by " + rounded(kMilli * circuit.residual_rms_v, 1) +
         " mV r.m.s.; " + rounded(kMilli * allowed_v, 1) + " mV would do";
}

}  // namespace

Finding<Circuit> fit_circuit(std::span<const PulseTrain> trains) {
  if (trains.empty()) return Finding<Circuit>::missing("the run has no held peaks");
  const Pulses pulses(trains);
  const TauRange span = tau_range(trains);
  if (pulses.readings() < kLeastReadings || !(span.shortest_s > 0.0) ||
      !(span.longest_s > span.shortest_s))
    return Finding<Circuit>::missing("the peaks hold too few readings for a circuit");
  const auto circuit = best_circuit(trains, pulses, span);
  if (!circuit)
    return Finding<Circuit>::missing("no circuit with positive resistances follows the peaks");
  const double sag_v = largest_sag_v(trains, *circuit);
  const double allowed_v = std::max(kFollowedShare * sag_v, kFollowed_v);
  if (circuit->residual_rms_v > allowed_v)
    return Finding<Circuit>::missing(misfit(*circuit, allowed_v));
  return *circuit;
}

}  // namespace sagbench::analysis
