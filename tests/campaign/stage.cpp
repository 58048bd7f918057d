#include "stage.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/co_spawn.hpp>

#include "bench/run/instruments.hpp"

namespace sagbench::campaign {

using drivers::from_seconds;
using drivers::Time;
using drivers::to_seconds;
using drivers::virtual_bench::Defects;
using drivers::virtual_bench::ReadingDefect;

namespace {

constexpr double kOverdue_s = 3 * 24 * 3600.0;
constexpr Time kAtOnce(1);                // behind everything that is under way at this moment
constexpr double kNextMessage_s = 130.0;  // two of the program's longest pauses, at rest
constexpr int kContactSteps = 20;
constexpr double kInDoubt_s = 15.0;  // the session is back in step by then: see DEVELOPERS.md

drivers::virtual_bench::VirtualBench make_world(const Scene& scene,
                                                const std::vector<Fault>& faults) {
  const bench::BenchAndPack on = bench_and_pack(scene);
  return {world_of(scene, faults), bench::load_of(on.bench), bench::meter_of(on.bench), scene.seed};
}

ReadingDefect& reading(Defects& defects, int which, int series) {
  switch (static_cast<Which>(std::min(which, static_cast<int>(Which::cell)))) {
    case Which::load_voltage:
      return defects.load_voltage;
    case Which::load_current:
      return defects.load_current;
    case Which::pack_voltage:
      return defects.meter_pack;
    case Which::temperature:
      return defects.temperature;
    case Which::cell:
      break;
  }
  defects.cells.resize(static_cast<std::size_t>(series));
  return defects.cells.at(static_cast<std::size_t>(which - static_cast<int>(Which::cell)));
}

}  // namespace

Stage::Stage(const Scene& scene, const std::vector<Fault>& faults, Disk& disk, Trace& trace)
    : scene_(scene),
      faults_(faults),
      disk_(disk),
      trace_(trace),
      world_(make_world(scene, faults)),
      witness_(scene_, world_) {
  connect(load_, Line::load);
  connect(meter_, Line::meter);
  for (std::size_t place = 0; place < faults_.size(); ++place) {
    if (faults_[place].kind == FaultKind::weak_cell)
      begun_.insert(place);
    else if (!faults_[place].message)
      plan(from_seconds(faults_[place].at_s), [this, place] { begin(place); });
  }
}

void Stage::connect(LineState& state, Line line) {
  state.line = line;
  state.sending = [this](LineState& of, const std::string&) { sending(of); };
  state.sent = [this](LineState& of, const std::string& message, bool reached) {
    trace_.add(now(), name_of(of.line), (reached ? "> " : ">lost ") + message);
    witness_.message_sent(now(), of.line, message, reached);
  };
  state.delivering = [this](LineState& of, const std::string& asked, const std::string& genuine,
                            const std::string& delivered, Time asked_at) {
    trace_.add(now(), name_of(of.line), "< " + delivered);
    witness_.answer_delivered(now(), of.line, asked, genuine, delivered, asked_at);
  };
  state.fails = [this]() -> std::optional<drivers::ErrorKind> {
    if (++operations_ != failing_operation_) return std::nullopt;
    trace_.add(now(), "world", fmt::format("operation {} fails", operations_));
    disturbed_.emplace_back(to_seconds(now()), to_seconds(now()));
    return failing_how_;
  };
}

void Stage::fail_operation(int number, drivers::ErrorKind how) {
  failing_operation_ = number;
  failing_how_ = how;
}

Time Stage::now() const {
  if (loop_ != nullptr) seen_ = loop_->clock().now();
  return seen_;
}

void Stage::sending(LineState& state) {
  for (std::size_t place = 0; place < faults_.size(); ++place) {
    const Fault& fault = faults_[place];
    if (fault.line != state.line || fault.message != state.messages) continue;
    if (fault.kind <= FaultKind::gone)
      begin(place);
    else if (fault.kind != FaultKind::weak_cell)
      plan(now() + kAtOnce, [this, place] { begin(place); });
  }
}

bench::Surroundings Stage::surroundings() {
  bench::Surroundings around{world_, seen_, nullptr, nullptr, nullptr};
  around.line = [this](std::unique_ptr<drivers::Transport> inner, drivers::Clock& clock) {
    const bool load = inner->name() == "virtual load";
    return std::make_unique<FaultLine>(std::move(inner), clock, load ? load_ : meter_);
  };
  around.begun = [this](bench::EventLoop& loop, bench::Surroundings::StopRun stop) {
    loop_ = &loop;
    stop_ = std::move(stop);
    witness_.began(now());
    boost::asio::co_spawn(loop.io(), play(), [](const std::exception_ptr& thrown) {
      if (thrown) std::rethrow_exception(thrown);
    });
  };
  around.alarmed = [this](const std::string& text) {
    trace_.add(now(), "alarm", text);
    witness_.alarmed(now());
  };
  around.told = [this](const std::string& text) { trace_.add(now(), "told", text); };
  return around;
}

void Stage::program_left() noexcept {
  loop_ = nullptr;
  wake_ = nullptr;
  stop_ = nullptr;
}

void Stage::pass(double seconds) {
  const Time until = seen_ + from_seconds(seconds);
  while (!agenda_.empty() && agenda_.begin()->first <= until) {
    seen_ = std::max(seen_, agenda_.begin()->first);
    run_due();
  }
  seen_ = until;
  witness_.look(seen_);
}

void Stage::plan(Time at, std::function<void()> what) {
  agenda_.emplace(at, std::move(what));
  if (wake_ != nullptr) wake_->ring();
}

void Stage::run_due() {
  while (!agenda_.empty() && agenda_.begin()->first <= now()) {
    const auto what = std::move(agenda_.begin()->second);
    agenda_.erase(agenda_.begin());
    what();
  }
}

boost::asio::awaitable<void> Stage::play() {
  const auto alarm = loop_->clock().make_alarm();
  wake_ = alarm.get();
  const Time overdue = now() + from_seconds(kOverdue_s);
  for (;;) {
    run_due();
    if (now() >= overdue) throw Overdue{};
    const Time next = agenda_.empty() ? overdue : std::min(overdue, agenda_.begin()->first);
    co_await alarm->until(next);
  }
}

void Stage::begin(std::size_t place) {
  const Fault& fault = faults_[place];
  trace_.add(now(), "fault", text_of(fault));
  begun_.insert(place);
  begun_at_s_[place] = to_seconds(now());
  if (fault.kind <= FaultKind::gone)
    begin_on_line(fault);
  else if (fault.kind < FaultKind::clock_step)
    begin_defect(fault);
  else
    begin_in_computer(fault);
}

bool Stage::disturbed_near(double time_s) const {
  return std::any_of(disturbed_.begin(), disturbed_.end(), [time_s](const auto& span) {
    return time_s >= span.first && time_s <= span.second + kInDoubt_s;
  });
}

void Stage::begin_on_line(const Fault& fault) {
  LineState& state = line(fault.line);
  // What it left on the line is noticed with the message after it.
  const double length_s = fault.for_s + kNextMessage_s;
  disturbed_.emplace_back(to_seconds(now()), to_seconds(now()) + length_s);
  if (fault.kind == FaultKind::gone && state.open != nullptr) state.open->close();
  if (fault.kind == FaultKind::gone && fault.for_s == 0.0) return;
  state.active.push_back(fault);
  if (fault.for_s > 0.0)
    plan(now() + from_seconds(fault.for_s), [&state, fault] {
      const auto mine = std::find(state.active.begin(), state.active.end(), fault);
      if (mine != state.active.end()) state.active.erase(mine);
    });
}

void Stage::begin_defect(const Fault& fault) {
  switch (fault.kind) {
    case FaultKind::power_cycle:
      if (fault.line == Line::load) {
        witness_.lost_supply(now());
        world_.power_cycle_load(now());
      } else {
        world_.power_cycle_meter(now());
      }
      return;
    case FaultKind::board_trip:
      world_.open_board(now());
      return;
    case FaultKind::contact:
      worsen_contact(fault);
      return;
    default:
      change(fault, true);
      plan(now() + from_seconds(fault.for_s), [this, fault] { change(fault, false); });
  }
}

void Stage::change(const Fault& fault, bool broken) {
  Defects defects = world_.defects();
  const ReadingDefect nothing{false, 0.0, broken ? std::optional(0.0) : std::nullopt};
  const ReadingDefect sensor{false, 0.0, broken ? std::optional(fault.value) : std::nullopt};
  switch (fault.kind) {
    case FaultKind::stuck:
      defects.input_stuck = broken;
      defects.stuck_unseen = broken && fault.value != 0.0;
      break;
    case FaultKind::frozen:
      reading(defects, fault.which, scene_.series).frozen = broken;
      break;
    case FaultKind::noisy:
      reading(defects, fault.which, scene_.series).noise = broken ? fault.value : 0.0;
      break;
    case FaultKind::sense_off:
      (scene_.meter ? defects.meter_pack : defects.load_voltage) = nothing;
      break;
    case FaultKind::cell_wire_off:
      reading(defects, static_cast<int>(Which::cell) + fault.which, scene_.series) = nothing;
      break;
    default:
      defects.temperature = sensor;
      break;
  }
  witness_.look(now());  // what was there until now
  world_.set_defects(now(), defects);
}

void Stage::worsen_contact(const Fault& fault) {
  for (int step = 1; step <= kContactSteps; ++step)
    plan(now() + from_seconds(fault.for_s * step / kContactSteps), [this, fault] {
      Defects defects = world_.defects();
      (fault.which == 0 ? defects.leads_ohm : defects.joint_ohm) += fault.value / kContactSteps;
      world_.set_defects(now(), defects);
    });
}

void Stage::begin_in_computer(const Fault& fault) {
  const auto later = [&](std::function<void()> what) {
    plan(now() + from_seconds(fault.for_s), std::move(what));
  };
  switch (fault.kind) {
    case FaultKind::disk_full:
      disk_.set_full(true);
      later([this] { disk_.set_full(false); });
      return;
    case FaultKind::archive_busy:
      disk_.set_busy(true);
      later([this] { disk_.set_busy(false); });
      return;
    default:
      break;
  }
  if (loop_ == nullptr) return;  // there is no program to do anything to
  if (fault.kind == FaultKind::crash) throw Crash{};
  if (fault.kind == FaultKind::clock_step)
    loop_->virtual_clock()->step_utc(std::chrono::seconds(static_cast<int>(fault.value)));
  if (fault.kind == FaultKind::operator_stop) {
    witness_.stop_asked(now());
    stop_(reports::RunEnd::operator_stop, "stopped by the operator");
  }
  if (fault.kind == FaultKind::suspend) {
    witness_.asleep(now(), now() + from_seconds(fault.value));
    for (auto& span : disturbed_)  // the message after it comes so much later
      if (span.second >= to_seconds(now())) span.second += fault.value;
    loop_->virtual_clock()->suspend(from_seconds(fault.value));
  }
}

}  // namespace sagbench::campaign
