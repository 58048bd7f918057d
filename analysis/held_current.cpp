#include "analysis/held_current.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kRest_s = 10.0;
constexpr double kSteady = 0.05;

bool steady_phase(Phase phase) {
  return phase == Phase::discharge || phase == Phase::low_current || phase == Phase::high_current ||
         phase == Phase::peak;
}

class Search {
 public:
  explicit Search(const Recording& recording)
      : samples_(recording.samples), pack_(recording.pack) {}

  std::vector<HeldCurrent> run() const {
    std::vector<HeldCurrent> found;
    for (std::size_t i = 1; i < samples_.size(); ++i) {
      if (!rests(samples_[i - 1]) || !flows(samples_[i])) continue;
      const HeldCurrent held = held_at(i);
      if (held.rest < held.first) found.push_back(held);
      i = held.last - 1;
    }
    return found;
  }

 private:
  bool rests(const Sample& sample) const { return is_resting(sample, pack_); }
  bool flows(const Sample& sample) const {
    if (sample.phase == Phase::imported) return sample.current_a > logger_offset_a(pack_);
    return steady_phase(sample.phase) && sample.commanded_a > 0.0 && sample.current_a > 0.0;
  }
  bool goes_on(const Sample& first, const Sample& sample) const {
    if (sample.phase != first.phase || sample.step != first.step || board_open(sample))
      return false;
    if (sample.phase != Phase::imported) return sample.commanded_a == first.commanded_a;
    return std::abs(sample.current_a - first.current_a) <= kSteady * first.current_a;
  }
  HeldCurrent held_at(std::size_t first) const {
    HeldCurrent held{first, first, first + 1};
    while (held.last < samples_.size() && goes_on(samples_[first], samples_[held.last]))
      ++held.last;
    const Sample& before = samples_[first - 1];
    const Sample& sample = samples_[first];
    held.edge_s = sample.commanded_since_s.value_or((before.time_s + sample.time_s) / 2.0);
    if (!sample.commanded_since_s) held.edge_doubt_s = (sample.time_s - before.time_s) / 2.0;
    while (held.rest > 0 && rests(samples_[held.rest - 1]) &&
           samples_[held.rest - 1].time_s >= held.edge_s - kRest_s)
      --held.rest;
    return held;
  }

  const std::vector<Sample>& samples_;
  const Pack& pack_;
};

}  // namespace

std::vector<HeldCurrent> held_currents(const Recording& recording) {
  return Search(recording).run();
}

}  // namespace sagbench::analysis
