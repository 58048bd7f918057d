#include "analysis/sent_pattern.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

namespace sagbench::analysis {
namespace {

constexpr double kWatched_s = 1200.0;    // of the pattern; the rest only tells the mean current
constexpr double kLongestOver_s = 60.0;  // an over without end counts as several
constexpr double kInfinite = std::numeric_limits<double>::infinity();

double wanted_a(const StageCurrent& stage, const SentPiece& piece, double supply_v) {
  return stage({piece.transmitting, piece.level}, supply_v);
}

/// Current and supply agree within a few rounds, because the ohms are small beside the radio's own.
double agreed_a(const StageCurrent& stage, const SentPiece& piece, double source_v, double ohm,
                double supply_v) {
  constexpr int kRounds = 2;
  double current_a = 0.0;
  for (int round = 0; round < kRounds; ++round) {
    current_a = wanted_a(stage, piece, supply_v);
    supply_v = source_v - current_a * ohm;
  }
  return current_a;
}

/// The lowest supply of each over.
class Overs {
 public:
  void see(const SentPiece& piece, double supply_v) {
    if (!piece.transmitting || lasted_s_ >= kLongestOver_s) close();
    if (!piece.transmitting) return;
    lowest_v_ = std::min(lowest_v_, supply_v);
    lasted_s_ += piece.seconds;
  }
  /// Once, after the last piece.
  void tell(UnderPattern& found) {
    close();
    if (all_v_.empty()) return;
    found.lowest_supply_v = *std::ranges::min_element(all_v_);
    found.lowest_spread_v = spread_v();
  }

 private:
  /// Between the lowest of a few stretches of about as many overs each.
  double spread_v() const {
    constexpr std::size_t kStretches = 4;
    const std::size_t stretches = std::min(kStretches, all_v_.size());
    if (stretches < 2) return 0.0;
    double mean_v = 0.0, squares = 0.0;
    for (std::size_t i = 0; i < stretches; ++i) {
      const double away_v = lowest_of(i, stretches) - mean_v;
      const auto count = static_cast<double>(i + 1);
      mean_v += away_v / count;
      squares += away_v * away_v * (count - 1.0) / count;
    }
    return std::sqrt(squares / static_cast<double>(stretches - 1));
  }
  double lowest_of(std::size_t stretch, std::size_t stretches) const {
    const auto at = [&](std::size_t i) {
      return all_v_.begin() + static_cast<std::ptrdiff_t>(i * all_v_.size() / stretches);
    };
    return *std::min_element(at(stretch), at(stretch + 1));
  }
  void close() {
    if (lasted_s_ > 0.0) all_v_.push_back(lowest_v_);
    lasted_s_ = 0.0;
    lowest_v_ = kInfinite;
  }

  std::vector<double> all_v_;
  double lowest_v_ = kInfinite;
  double lasted_s_ = 0.0;
};

}  // namespace

SentPattern::SentPattern(const Radio& radio, const std::vector<SentPiece>& sent)
    : radio_(radio), stage_(radio), sent_(sent) {
  double charge_as = 0.0;
  for (const SentPiece& piece : sent) {
    charge_as += piece.seconds * wanted_a(stage_, piece, radio.supply_nominal_v);
    total_s_ += piece.seconds;
    if (watched_s_ >= kWatched_s) continue;
    kept_.push_back(Relaxation::kept_after(piece.seconds));
    watched_s_ = total_s_;
    watched_share_ = charge_as / watched_s_;
  }
  nominal_mean_a_ = charge_as / total_s_;
  watched_share_ /= nominal_mean_a_;
}

UnderPattern SentPattern::on(const SourcePoint& source, const PulseResponse& response,
                             int cells) const {
  Relaxation past(nominal_mean_a_);
  Overs overs;
  UnderPattern found{kInfinite, 0.0, kInfinite, source.cell_v, 0.0};
  double supply_v = source.pack_v;
  double past_sag_v = response.past_sag_v(past);
  for (std::size_t i = 0; i < kept_.size(); ++i) {
    const SentPiece& piece = sent_[i];
    const double current_a = agreed_a(stage_, piece, source.pack_v - past_sag_v,
                                      response.at_once_ohm + radio_.cable_ohm, supply_v);
    past.advance(current_a, kept_[i]);
    past_sag_v = response.past_sag_v(past);
    const double sag_v = response.at_once_ohm * current_a + past_sag_v;
    supply_v = source.pack_v - sag_v - current_a * radio_.cable_ohm;
    overs.see(piece, supply_v);
    found.mean_a += current_a * piece.seconds / (watched_s_ * watched_share_);
    found.lowest_pack_v = std::min(found.lowest_pack_v, source.pack_v - sag_v);
    if (source.cell_v)
      found.lowest_cell_v = std::min(*found.lowest_cell_v, *source.cell_v - sag_v / cells);
  }
  overs.tell(found);
  return found;
}

double SentPattern::mean_uncertainty(double hours) const noexcept {
  constexpr std::size_t kBlocks = 12;
  constexpr double kHour_s = 3600.0;
  std::array<double, kBlocks> charge{}, time{};
  double at_s = 0.0;
  for (const SentPiece& piece : sent_) {
    const auto block = std::min(kBlocks - 1, static_cast<std::size_t>(at_s / total_s_ * kBlocks));
    charge[block] += piece.seconds * wanted_a(stage_, piece, radio_.supply_nominal_v);
    time[block] += piece.seconds;
    at_s += piece.seconds;
  }
  double squares = 0.0;
  std::size_t counted = 0;
  for (std::size_t i = 0; i < kBlocks; ++i) {
    if (!(time[i] > 0.0)) continue;
    squares += std::pow(charge[i] / time[i] / nominal_mean_a_ - 1.0, 2);
    ++counted;
  }
  if (counted < 2 || !(hours > 0.0)) return 0.0;
  const double of_block = std::sqrt(squares / static_cast<double>(counted - 1));
  const double blocks = hours * kHour_s / (total_s_ / kBlocks);
  // The pattern here and the one to come are two draws of the same.
  return of_block * std::sqrt(1.0 / static_cast<double>(kBlocks) + 1.0 / std::max(1.0, blocks));
}

}  // namespace sagbench::analysis
