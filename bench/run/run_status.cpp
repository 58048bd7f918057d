#include "bench/run/run_status.hpp"

#include <fmt/format.h>

#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <string_view>
#include <utility>

#include "bench/system/console.hpp"
#include "bench/system/terminal.hpp"
#include "bench/text/duration_text.hpp"
#include "bench/text/status_text.hpp"

namespace sagbench::bench {
namespace {

using AskState = std::function<std::optional<RunState>()>;

/// What both ways of showing know of the run.
class Followed : public RunWatch {
 public:
  std::string_view name() const override { return "status on the terminal"; }
  void begun(const RunBegun& run, AskState state) override {
    run_ = run;
    state_ = std::move(state);
    if (const auto now = state_()) begun_s_ = now->time_s;
  }
  void kept(const KeptBatch& batch) override {
    for (const analysis::Sample& sample : batch.samples) {
      const auto before_c = newest_ ? newest_->temperature_c : std::nullopt;
      newest_ = sample;
      // A slow channel is not read with each sample.
      if (!sample.temperature_c) newest_->temperature_c = before_c;
    }
  }
  void ended(const reports::RunClosing&) override {
    if (const auto now = state_())
      say(fmt::format("the run took {}\n", duration_text(now->time_s - begun_s_)));
  }

 protected:
  const RunBegun& run() const noexcept { return run_; }
  bool any_reading() const noexcept { return newest_.has_value(); }
  std::optional<RunState> now() const { return state_ ? state_() : std::nullopt; }
  StatusShown shown(const RunState& state) const { return {run_, state, newest_}; }

 private:
  RunBegun run_;
  AskState state_;
  double begun_s_ = 0.0;
  std::optional<analysis::Sample> newest_;
};

class InPlace final : public Followed {
 public:
  explicit InPlace(boost::asio::io_context& io) : timer_(io) {}
  ~InPlace() override { console().keep_below({}); }
  InPlace(const InPlace&) = delete;
  InPlace& operator=(const InPlace&) = delete;

  void begun(const RunBegun& run, AskState state) override {
    Followed::begun(run, std::move(state));
    draw();
  }
  void kept(const KeptBatch& batch) override {
    Followed::kept(batch);
    for (const analysis::Sample& sample : batch.samples)
      trend_.add(sample.time_s, sample.voltage_v);
  }
  void ended(const reports::RunClosing& closing) override {
    timer_.cancel();
    console().keep_below({});
    Followed::ended(closing);
  }

 private:
  void draw() {
    constexpr auto kEvery = std::chrono::seconds(1);
    if (const auto state = now()) console().keep_below(status_panel(shown(*state), trend_, style_));
    timer_.expires_after(kEvery);
    // A handler may be queued still when this is gone.
    timer_.async_wait([this, alive = std::weak_ptr(alive_)](boost::system::error_code error) {
      if (!error && !alive.expired()) draw();
    });
  }

  boost::asio::steady_timer timer_;
  const VoltageTrend::Style style_ =
      terminal_has_blocks() ? VoltageTrend::Style::blocks : VoltageTrend::Style::ascii;
  VoltageTrend trend_;
  std::shared_ptr<bool> alive_ = std::make_shared<bool>(true);
};

class LineByLine final : public Followed {
 public:
  void kept(const KeptBatch& batch) override {
    Followed::kept(batch);
    const auto state = now();
    if (!state || state->label.empty() || !any_reading()) return;
    constexpr double kEvery_s = 60.0;
    const bool due = !run().simulated && state->time_s - told_s_ >= kEvery_s;
    if (state->label == told_ && state->plan_step == told_step_ && !due) return;
    told_ = state->label;
    told_step_ = state->plan_step;
    told_s_ = state->time_s;
    say(status_line(shown(*state)) + "\n");
  }

 private:
  std::string told_;
  std::size_t told_step_ = 0;
  double told_s_ = 0.0;
};

}  // namespace

std::unique_ptr<RunWatch> make_run_status(boost::asio::io_context& io) {
  if (console().keeps_lines_below()) return std::make_unique<InPlace>(io);
  return std::make_unique<LineByLine>();
}

}  // namespace sagbench::bench
