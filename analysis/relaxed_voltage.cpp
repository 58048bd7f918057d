#include "analysis/relaxed_voltage.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <utility>
#include <vector>

#include "analysis/accuracy.hpp"

namespace sagbench::analysis {
namespace {

constexpr std::size_t kBins = 20;
constexpr std::size_t kFewestBins = 6;
constexpr double kLeftOut = 30.0;   // one of so many parts of the rest, at its beginning
constexpr double kFollowed = 0.02;  // of the recovery
constexpr double kFastest = 0.1;    // slowest branch of the shortest kind, in rests
constexpr double kSlowest = 3.0;    // of the longest kind
constexpr int kTimeConstants = 20;
constexpr std::array kFasterBy = {2.0,  3.0,  5.0, 8.0,
                                  12.0, 20.0, 32.0};  // how much quicker a second branch is

struct Bin {
  double after_s = 0.0;
  double voltage_v = 0.0;
  double readings = 0.0;
};

std::vector<Bin> binned(std::span<const Reading> rest, double began_s) {
  const double length_s = rest.back().time_s - began_s;
  std::vector<Bin> bins(kBins);
  for (const Reading& reading : rest) {
    const double share = kLeftOut * (reading.time_s - began_s) / length_s;
    if (!(share >= 1.0)) continue;
    const double place = std::log(share) / std::log(kLeftOut) * static_cast<double>(kBins);
    Bin& bin = bins[std::min(kBins - 1, static_cast<std::size_t>(place))];
    bin.after_s += reading.time_s - began_s;
    bin.voltage_v += reading.value;
    bin.readings += 1.0;
  }
  std::erase_if(bins, [](const Bin& bin) { return bin.readings == 0.0; });
  for (Bin& bin : bins) {
    bin.after_s /= bin.readings;
    bin.voltage_v /= bin.readings;
  }
  return bins;
}

double moved_v(const std::vector<Bin>& bins) {
  const auto [least, most] = std::ranges::minmax(bins, {}, &Bin::voltage_v);
  return most.voltage_v - least.voltage_v;
}

/// What one set of time constants leads to.
struct Answer {
  double voltage_v = 0.0;
  double variance_v2 = 0.0;
  double chi_square = 0.0;
};

class Recovery {
 public:
  Recovery(std::vector<Bin> bins, double noise_v) : bins_(std::move(bins)) {
    const double model_v = kFollowed * moved_v(bins_);
    for (const Bin& bin : bins_)
      sigma_v_.push_back(std::hypot(noise_v / std::sqrt(bin.readings), model_v));
  }

  bool quiet() const { return std::ranges::max(sigma_v_) == 0.0; }

  /// Nothing where the branches pull against each other: a recovery goes one way.
  std::optional<Answer> fitted(std::span<const double> taus_s) const {
    const auto rows = static_cast<Eigen::Index>(bins_.size());
    const auto columns = static_cast<Eigen::Index>(taus_s.size()) + 1;
    Eigen::MatrixXd a(rows, columns);
    Eigen::VectorXd b(rows);
    for (Eigen::Index i = 0; i < rows; ++i) {
      const Bin& bin = bins_[static_cast<std::size_t>(i)];
      const double weight = 1.0 / sigma_v_[static_cast<std::size_t>(i)];
      a(i, 0) = weight;
      for (Eigen::Index k = 1; k < columns; ++k)
        a(i, k) = -weight * std::exp(-bin.after_s / taus_s[static_cast<std::size_t>(k) - 1]);
      b[i] = weight * (bin.voltage_v - bins_.back().voltage_v);  // differences keep their digits
    }
    const Eigen::VectorXd x = a.colPivHouseholderQr().solve(b);
    if (!x.allFinite() || (columns == 3 && x[1] * x[2] < 0.0)) return std::nullopt;
    const Eigen::MatrixXd inverse = (a.transpose() * a).inverse();
    return Answer{bins_.back().voltage_v + x[0], inverse(0, 0), (a * x - b).squaredNorm()};
  }

 private:
  std::vector<Bin> bins_;
  std::vector<double> sigma_v_;
};

std::vector<Answer> answers(const Recovery& recovery, double length_s) {
  std::vector<Answer> found;
  const auto try_out = [&](std::span<const double> taus_s) {
    const auto answer = recovery.fitted(taus_s);
    if (answer && std::isfinite(answer->variance_v2)) found.push_back(*answer);
  };
  for (int i = 0; i < kTimeConstants; ++i) {
    const double share = i / (kTimeConstants - 1.0);
    const double slow_s = length_s * kFastest * std::pow(kSlowest / kFastest, share);
    try_out(std::array{slow_s});
    for (const double faster : kFasterBy) try_out(std::array{slow_s, slow_s / faster});
  }
  return found;
}

/// Mean and spread of the answers, each by its likelihood.
RelaxedVoltage weighed(const std::vector<Answer>& found) {
  const double best = std::ranges::min(found, {}, &Answer::chi_square).chi_square;
  double total = 0.0, sum_v = 0.0;
  const auto weight = [best](const Answer& answer) {
    return std::exp(-(answer.chi_square - best) / 2.0);
  };
  for (const Answer& answer : found) {
    total += weight(answer);
    sum_v += weight(answer) * answer.voltage_v;
  }
  const double mean_v = sum_v / total;
  double variance_v2 = 0.0;
  for (const Answer& answer : found) {
    const double away_v = answer.voltage_v - mean_v;
    variance_v2 += weight(answer) / total * (answer.variance_v2 + away_v * away_v);
  }
  return {mean_v, std::sqrt(variance_v2)};
}

/// How far a recovery that goes on over the logarithm of time gets from the last bin on.
double still_to_come_v(const std::vector<Bin>& bins, double relaxed_after_s) {
  const Bin& last = bins.back();
  if (last.after_s >= relaxed_after_s) return 0.0;
  const double wanted_s = last.after_s / std::numbers::e;
  const auto before = std::ranges::min_element(
      bins, {}, [wanted_s](const Bin& bin) { return std::abs(std::log(bin.after_s / wanted_s)); });
  if (before->after_s >= last.after_s) return 0.0;
  return (last.voltage_v - before->voltage_v) / std::log(last.after_s / before->after_s) *
         std::log(relaxed_after_s / last.after_s);
}

}  // namespace

std::optional<RelaxedVoltage> relaxed_voltage(std::span<const Reading> rest, double began_s,
                                              double relaxed_after_s) {
  const double length_s = rest.back().time_s - began_s;
  if (!(length_s > 0.0)) return std::nullopt;
  auto bins = binned(rest, began_s);
  if (bins.size() < kFewestBins) return std::nullopt;
  const double last_v = bins.back().voltage_v;
  const double going_on_v = last_v + still_to_come_v(bins, relaxed_after_s);
  const Recovery recovery(std::move(bins), scatter(rest));
  if (recovery.quiet()) return RelaxedVoltage{last_v, 0.0};
  const auto found = answers(recovery, length_s);
  if (found.empty()) return std::nullopt;
  const RelaxedVoltage dying_out = weighed(found);
  const double half_v = (going_on_v - dying_out.voltage_v) / 2.0;
  return RelaxedVoltage{dying_out.voltage_v + half_v,
                        std::hypot(dying_out.standard_u_v, rectangular(half_v))};
}

}  // namespace sagbench::analysis
