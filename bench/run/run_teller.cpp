#include "bench/run/run_teller.hpp"

#include <algorithm>
#include <exception>
#include <utility>

#include "bench/system/console.hpp"

namespace sagbench::bench {
namespace {

constexpr std::size_t kMostWaiting = 64;  // standings whose samples are not acknowledged yet

/// When the youngest reading in it was taken.
double newest_reading_s(const Snapshot& known) {
  double newest_s = 0.0;
  const auto look = [&newest_s](const std::optional<Stamped>& reading) {
    if (reading) newest_s = std::max(newest_s, reading->time_s);
  };
  look(known.pack_v);
  look(known.current_a);
  look(known.load_v);
  look(known.temperature_c);
  for (const auto& cell : known.cell_v) look(cell);
  return newest_s;
}

/// Past the time that was expected nothing is known but that it may end at any moment; past the
/// doubt, not even that.
std::optional<TimeLeft> left_of_step(const Progress& progress, double now_s) {
  if (!progress.step_ends_s) return std::nullopt;
  const double left_s = *progress.step_ends_s - now_s;
  if (left_s + progress.step_doubt_s < 0.0) return std::nullopt;
  return TimeLeft{std::max(0.0, left_s), progress.step_doubt_s};
}

/// False where the watch has thrown.
template <class Call>
bool told(RunWatch& watch, Call& call) noexcept {
  try {
    call(watch);
    return true;
  } catch (const std::exception& error) {
    for (const std::string_view part :
         {std::string_view("sagbench: the "), watch.name(), std::string_view(" is gone: "),
          std::string_view(error.what()), std::string_view("\n")})
      say(part);
    return false;
  }
}

}  // namespace

struct RunTeller::State {
  std::vector<RunWatch*> watches;  // without those that have thrown
  const Rig& rig;
  Journal& journal;
  const Progress& progress;
  PeakSags sags{};
  struct Waiting {
    double newest_s;
    RunStanding standing;
  };
  std::deque<Waiting> waiting{};
  std::optional<RunStanding> standing{};

  template <class Call>
  void tell(Call call) noexcept {
    std::erase_if(watches, [&call](RunWatch* watch) { return !told(*watch, call); });
  }

  void kept(const KeptBatch& batch) {
    for (const analysis::Sample& sample : batch.samples) sags.take(sample);
    tell([&](RunWatch& told) { told.kept(batch); });
  }

  /// Nobody is shown what rests on a sample that could still be lost.
  void stand() {
    const Snapshot& known = rig.known();
    if (waiting.size() < kMostWaiting)
      waiting.push_back(
          {newest_reading_s(known), {known.charge_removed_ah, limit_rooms(known, rig.limits())}});
    const auto& safe = journal.acknowledged();
    while (safe && !waiting.empty() && waiting.front().newest_s <= safe->time_s) {
      standing = std::move(waiting.front().standing);
      waiting.pop_front();
    }
  }

  RunState now() {
    stand();
    RunState state;
    state.time_s = rig.now_s();
    state.plan_step = progress.plan_step;
    state.label = progress.label;
    state.step_left = left_of_step(progress, state.time_s);
    if (state.step_left && progress.later)
      state.run_left = {state.step_left->seconds + progress.later->seconds,
                        state.step_left->doubt_s + progress.later->doubt_s};
    state.input_on = rig.known().input_on;
    state.commanded_a = rig.known().commanded_a;
    state.standing = standing;
    state.peaks = sags.last();
    return state;
  }
};

RunTeller::RunTeller(std::vector<RunWatch*> watches, const RunBegun& run, const Rig& rig,
                     Journal& journal, const Progress& progress) {
  if (watches.empty()) return;
  state_ = std::make_shared<State>(State{std::move(watches), rig, journal, progress});
  journal.on_kept([this](const KeptBatch& batch) { state_->kept(batch); });
  state_->tell([&](RunWatch& told) {
    told.begun(run, [weak = std::weak_ptr(state_)]() -> std::optional<RunState> {
      const auto state = weak.lock();
      if (!state) return std::nullopt;
      return state->now();
    });
  });
}

RunTeller::~RunTeller() {
  if (state_) state_->journal.on_kept(nullptr);
}

bool RunTeller::is_told(const RunWatch* watch) const noexcept {
  return state_ && std::ranges::find(state_->watches, watch) != state_->watches.end();
}

void RunTeller::load_off(bool off) {
  if (state_) state_->tell([&](RunWatch& told) { told.load_off(off); });
}

void RunTeller::ended(const reports::RunClosing& closing) {
  if (state_) state_->tell([&](RunWatch& told) { told.ended(closing); });
}

}  // namespace sagbench::bench
