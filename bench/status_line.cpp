#include "bench/status_line.hpp"

#include <fmt/format.h>
#include <unistd.h>
#include <boost/asio/steady_timer.hpp>

#include <algorithm>
#include <cmath>
#include <utility>

#include "bench/console.hpp"

namespace sagbench::bench {
namespace {

constexpr std::size_t kColumns = 79;
constexpr auto kEvery = std::chrono::seconds(1);

}  // namespace

std::string duration_text(double seconds) {
  const auto whole = static_cast<long>(std::max(0.0, std::round(seconds)));
  if (whole < 60) return fmt::format("{} s", whole);
  if (whole < 3600) return fmt::format("{} min {:02} s", whole / 60, whole % 60);
  return fmt::format("{} h {:02} min", whole / 3600, whole % 3600 / 60);
}

std::string status_text(const Progress& progress, const std::optional<analysis::Sample>& sample,
                        double now_s) {
  std::string text = progress.step;
  if (sample) text += fmt::format(" | {:.3f} V {:.3f} A", sample->voltage_v, sample->current_a);
  if (sample && sample->temperature_c) text += fmt::format(" {:.1f} degC", *sample->temperature_c);
  if (progress.step_ends_s)
    text += fmt::format(" | about {} left", duration_text(*progress.step_ends_s - now_s));
  if (text.size() > kColumns) text.resize(kColumns);
  return text;
}

/// Shared with the timer's handler, which may still be queued when the line is gone.
struct StatusLine::State : std::enable_shared_from_this<State> {
  State(boost::asio::io_context& io, std::function<double()> run_now_s, const Journal& run_journal,
        const Progress& run_progress)
      : timer(io), now_s(std::move(run_now_s)), journal(run_journal), progress(run_progress) {}

  void draw() {
    const std::string text = status_text(progress, journal.acknowledged(), now_s());
    say(fmt::format("\r{:<{}}", text, shown));
    shown = text.size();
    timer.expires_after(kEvery);
    timer.async_wait([self = shared_from_this()](const boost::system::error_code& error) {
      if (!error && self->alive) self->draw();
    });
  }

  boost::asio::steady_timer timer;
  std::function<double()> now_s;
  const Journal& journal;
  const Progress& progress;
  std::size_t shown = 0;
  bool alive = true;
};

StatusLine::StatusLine(boost::asio::io_context& io, std::function<double()> now_s,
                       const Journal& journal, const Progress& progress, bool enabled) {
  if (!enabled || isatty(STDERR_FILENO) != 1) return;
  state_ = std::make_shared<State>(io, std::move(now_s), journal, progress);
  state_->draw();
}

StatusLine::~StatusLine() {
  clear();
  if (!state_) return;
  state_->alive = false;
  state_->timer.cancel();
}

void StatusLine::clear() {
  if (!state_ || state_->shown == 0) return;
  say(fmt::format("\r{:<{}}\r", "", state_->shown));
  state_->shown = 0;
}

void StatusLine::finish(double seconds) {
  clear();
  if (state_) say(fmt::format("the run took {}\n", duration_text(seconds)));
}

}  // namespace sagbench::bench
