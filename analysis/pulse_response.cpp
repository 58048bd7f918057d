// The resistances of each visited state of charge.

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cstddef>
#include <ranges>
#include <span>
#include <utility>
#include <vector>

#include "analysis/past_currents.hpp"
#include "analysis/sample_series.hpp"
#include "analysis/source_curve.hpp"

namespace sagbench::analysis {
namespace {

constexpr std::size_t kColumns = kRelaxation_s.size() + 1;
constexpr std::size_t kLeastReadings = 30;

/// One reading of a visit: what flows, what flowed, and the voltage cleared of the charge removed.
struct Row {
  std::array<double, kColumns> currents_a;
  double voltage_v;
};

struct Visit {
  double depth_ah = 0.0;
  bool pulsed = false;
  std::vector<Row> rows;
};

/// Least squares with an offset; a resistance that comes out negative is taken to be none, the most
/// negative first.
PulseResponse fit(const std::vector<Row>& rows) {
  Eigen::MatrixXd matrix(static_cast<Eigen::Index>(rows.size()),
                         static_cast<Eigen::Index>(kColumns));
  Eigen::VectorXd sag(matrix.rows());
  for (Eigen::Index row = 0; row < matrix.rows(); ++row) {
    const Row& from = rows[static_cast<std::size_t>(row)];
    for (Eigen::Index column = 0; column < matrix.cols(); ++column)
      matrix(row, column) = from.currents_a[static_cast<std::size_t>(column)];
    sag[row] = -from.voltage_v;
  }
  matrix.rowwise() -= matrix.colwise().mean().eval();
  sag.array() -= sag.mean();

  std::vector<Eigen::Index> kept;
  for (Eigen::Index column = 0; column < matrix.cols(); ++column) kept.push_back(column);
  Eigen::VectorXd ohms;
  while (!kept.empty()) {
    ohms = matrix(Eigen::all, kept).colPivHouseholderQr().solve(sag);
    Eigen::Index worst = 0;
    if (ohms.minCoeff(&worst) >= 0.0) break;
    kept.erase(kept.begin() + worst);
  }
  PulseResponse response;
  for (std::size_t i = 0; i < kept.size(); ++i) {
    const double ohm = ohms[static_cast<Eigen::Index>(i)];
    if (kept[i] == 0)
      response.at_once_ohm = ohm;
    else
      response.branch_ohm[static_cast<std::size_t>(kept[i]) - 1] = ohm;
  }
  return response;
}

/// Fall of the pack's voltage with charge about `removed_ah`, from the discharge itself.
double slope_v_per_ah(const Discharge& discharge, const ChargeState& charge,
                      std::size_t first_sample, double removed_ah) {
  constexpr double kShare = 0.02;
  const double half_ah = kShare * charge.reference_ah();
  const auto at = [&](double wanted_ah) {
    const auto places = std::views::iota(std::size_t{0}, discharge.samples.size());
    return *std::ranges::lower_bound(
        places.begin(), places.end() - 1, wanted_ah, {},
        [&](std::size_t place) { return charge.removed_ah(first_sample + place); });
  };
  const std::size_t left = at(removed_ah - half_ah);
  const std::size_t right = at(removed_ah + half_ah);
  const double span_ah =
      charge.removed_ah(first_sample + right) - charge.removed_ah(first_sample + left);
  if (!(span_ah > 0.0)) return 0.0;
  return (discharge.samples[left].voltage_v - discharge.samples[right].voltage_v) / span_ah;
}

void finish(Visit& visit, std::vector<ResponsePoint>& points) {
  if (visit.pulsed && visit.rows.size() >= kLeastReadings)
    points.push_back({visit.depth_ah, fit(visit.rows)});
  visit = {};
}

void add_row(Visit& visit, const Sample& sample, const Relaxation& past, double fallen_v) {
  Row row{{}, sample.voltage_v + fallen_v};
  row.currents_a[0] = sample.commanded_a > 0.0 ? sample.current_a : 0.0;
  std::ranges::copy(past.currents_a(), row.currents_a.begin() + 1);
  visit.rows.push_back(row);
}

/// The visits of one peak-current step.
void add_visits(const Recording& recording, int step, const ChargeState& charge, double lag_h,
                const Discharge& discharge, std::vector<ResponsePoint>& points) {
  const auto samples = samples_of(recording, step);
  const auto first = static_cast<std::size_t>(samples.data() - recording.samples.data());
  const auto discharge_first =
      static_cast<std::size_t>(discharge.samples.data() - recording.samples.data());
  PastCurrents past(lag_h);
  Visit visit;
  double began_ah = 0.0, slope = 0.0;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    const Sample& sample = samples[i];
    past.follow(sample);
    if (discharging(sample)) finish(visit, points);
    if (discharging(sample) || board_open(sample)) continue;
    const double removed_ah = charge.removed_ah(first + i);
    if (visit.rows.empty()) {
      began_ah = removed_ah;
      slope = slope_v_per_ah(discharge, charge, discharge_first, removed_ah);
      visit.depth_ah = removed_ah + past.lag_ah();
    }
    visit.pulsed = visit.pulsed || sample.phase == Phase::peak;
    add_row(visit, sample, past.relaxation(), slope * (removed_ah - began_ah));
  }
  finish(visit, points);
}

}  // namespace

std::vector<ResponsePoint> pulse_responses(const Recording& recording, const ChargeState& charge,
                                           double lag_h, const Discharge& discharge) {
  std::vector<ResponsePoint> points;
  for (int step = 0; step < static_cast<int>(recording.steps.size()); ++step)
    if (recording.steps[static_cast<std::size_t>(step)].kind == StepKind::peak_current)
      add_visits(recording, step, charge, lag_h, discharge, points);
  std::ranges::sort(points, {}, &ResponsePoint::depth_ah);
  return points;
}

}  // namespace sagbench::analysis
