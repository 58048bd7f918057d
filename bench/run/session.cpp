#include "bench/run/session.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "bench/files/input_error.hpp"
#include "bench/run/operator_recharger.hpp"
#include "bench/run/run_header.hpp"
#include "bench/run/run_status.hpp"
#include "bench/run/virtual_recharger.hpp"
#include "bench/safety/dialect_check.hpp"
#include "bench/safety/radio_check.hpp"
#include "bench/steps/step_label.hpp"
#include "bench/system/console.hpp"

namespace sagbench::bench {

using boost::asio::awaitable;
using drivers::virtual_bench::VirtualBench;
using drivers::virtual_bench::WorldSpec;

namespace {

constexpr double kWatchdog_s = 10.0;

template <class Value>
Value expect(drivers::Result<Value> result) {
  if (!result) throw Stop(reports::RunEnd::instrument, result.error().message);
  return std::move(*result);
}

void expect(const drivers::Result<void>& result) {
  if (!result) throw Stop(reports::RunEnd::instrument, result.error().message);
}

std::unique_ptr<VirtualBench> make_world(const BenchAndPack& on, std::uint64_t seed,
                                         const WorldSpec* other) {
  if (!on.bench.is_virtual()) return nullptr;
  return std::make_unique<VirtualBench>(other != nullptr ? *other : world_of(on.pack, on.bench),
                                        load_of(on.bench), meter_of(on.bench), seed);
}

}  // namespace

Session::Session(const BenchAndPack& on, std::uint64_t seed, const WorldSpec* other_world)
    : Session(on, nullptr, make_world(on, seed, other_world)) {}

Session::Session(const BenchAndPack& on, const Surroundings& around)
    : Session(on, &around, nullptr) {}

Session::Session(const BenchAndPack& on, const Surroundings* around,
                 std::unique_ptr<VirtualBench> own_world)
    : on_(on),
      around_(around),
      loop_(on.bench.is_virtual(), around != nullptr ? around->begins : drivers::Time(0)),
      limits_(limits_for(on.pack, on.bench)),
      own_world_(std::move(own_world)),
      world_(around != nullptr ? &around->world : own_world_.get()),
      instruments_(make_instruments(loop_.io().get_executor(), loop_.clock(), on.bench,
                                    on.bench_file.path, world_,
                                    around != nullptr ? around->line : nullptr)),
      rig_(std::make_unique<Rig>(loop_.clock(), *instruments_.load, instruments_.meter.get(),
                                 limits_)) {
  loop_.on_fault([stop = stop_run()](const std::string& what) {
    stop(reports::RunEnd::defect, "a defect of sagbench: " + what);
  });
  signals_ = std::make_unique<RunSignals>(loop_.io(), [stop = stop_run()](const std::string& name) {
    stop(reports::RunEnd::operator_stop, fmt::format("stopped by the operator (signal {})", name));
  });
  off_alarm_ = std::make_unique<OffAlarm>(loop_.clock(), loop_.virtual_time(), *signals_,
                                          around != nullptr ? around->alarmed : nullptr);
  if (around != nullptr && around->begun) around->begun(loop_, stop_run());
}

Surroundings::StopRun Session::stop_run() {
  return [this](reports::RunEnd end, const std::string& reason) {
    if (rig_) rig_->request_stop(end, reason);
  };
}

/// Instruments opened and identified, pack looked at, input off. `left_on`: a program that died may
/// have left the load drawing, so a load that cannot be reached is the person's to unplug. True at
/// its end, for EventLoop::run.
awaitable<bool> Session::look(bool left_on) {
  // Each await stands alone in its statement: GCC 12 compiles one inside a condition wrongly.
  drivers::Result<void> opened = co_await instruments_.load->open();
  if (!opened && left_on) {
    tell(
        "sagbench: the archive holds a run that was cut short, which may have left the load on; "
        "the "
        "load does not answer, and is told to switch off until it does\n");
    co_await insist_on_off();
    opened = co_await instruments_.load->open();
  }
  expect(opened);  // the input is off, whoever left it on
  const drivers::Result<bool> still_on = co_await instruments_.load->input_is_on();
  if (expect(still_on)) co_await insist_on_off();
  if (instruments_.meter) {
    const drivers::Result<void> meter_opened = co_await instruments_.meter->open();
    expect(meter_opened);
  }
  look_ = co_await rig_->look();
  if (std::abs(look_.current_a) <= no_current_a(limits_)) co_return true;
  co_await insist_on_off();
  look_ = co_await rig_->look();
  co_return true;
}

/// With the alarm that a run has at its end: a load that draws though it was told not to empties a
/// pack that perhaps nobody watches.
awaitable<void> Session::insist_on_off() {
  const bool off = co_await switch_off_with_alarm();
  if (!off)
    throw Stop(reports::RunEnd::instrument,
               fmt::format("load {}: it does not switch off: pull the pack's lead",
                           instruments_.load->port()));
}

awaitable<bool> Session::switch_off_with_alarm() {
  return rig_->make_safe([this] { return off_alarm_->give_up(); },
                         [this](const std::string& trouble) { off_alarm_->sound(trouble); });
}

CheckReport Session::check() {
  loop_.run(look(false));
  CheckReport report;
  report.identities.push_back(
      fmt::format("load {}: {}", instruments_.load->port(), instruments_.load->identity()));
  if (instruments_.meter)
    report.identities.push_back(
        fmt::format("meter {}: {}", instruments_.meter->port(), instruments_.meter->identity()));
  report.lines = check_look(look_, on_.pack, on_.bench, limits_);
  if (!instruments_.load->guards_itself())
    report.lines.push_back(
        {CheckResult::doubtful,
         fmt::format("dialect {} has no low-voltage stop and no watchdog", on_.bench.load.dialect),
         "if this computer dies nothing stops the discharge: stay by, and run with --attended"});
  return report;
}

RunResult Session::run(const RunRequest& request) {
  if (!request.continue_run.empty()) refuse_what_cannot_go_on(request);
  // A program that died may have left the load on: off, whatever is wrong with the request.
  const bool left_on = holds_cut_short_run(request.archive_path);
  if (left_on) loop_.run(look(left_on));
  if (request.watch) watch_ = request.watch(loop_, stop_run());
  check_plan(request.plan, on_.pack, on_.bench);
  check_guards(instruments_.load->dialect(), guards(), on_.bench_file.path);
  check_currents(instruments_.load->dialect(), request.plan, on_.pack, limits_.current_a);
  require_attendance(request);
  if (!left_on) loop_.run(look(left_on));
  refuse_bad_look(request.plan);
  // A run that goes on has been begun with a rested pack; this one is not.
  if (request.continue_run.empty()) check_radios(request.plan, look_.voltage_v);
  reports::Archive archive(request.archive_path, reports::Archive::Access::write,
                           loop_.virtual_time() ? reports::Archive::Durability::process_crash
                                                : reports::Archive::Durability::power_loss);
  const std::string id =
      request.continue_run.empty() ? begin(archive, request) : go_on(archive, request);
  journal_ = std::make_unique<Journal>(std::move(archive), id, loop_.io(), loop_.clock(),
                                       !loop_.virtual_time());
  rig_->attach(*journal_);
  RunResult result{journal_->run_id(), carry_out_safely(request)};
  journal_.reset();  // waits for the writer: after this the archive is complete on disk
  claim_.reset();
  if (request.ended) request.ended(result);
  if (watch_) let_watch_stay();
  return result;
}

RunBegun Session::begun(const RunRequest& request) const {
  RunBegun run;
  run.run_id = journal_->run_id();
  run.utc = begun_utc_;
  run.archive_path = request.archive_path;
  run.bench_name = on_.bench.name;
  run.pack = on_.pack;
  for (const PlanStep& step : request.plan.steps) run.plan.push_back(step_label(step, on_.pack));
  run.limits = limits_;
  run.simulated = loop_.virtual_time();
  return run;
}

/// The bench is free for another run meanwhile.
void Session::let_watch_stay() {
  off_alarm_.reset();
  signals_.reset();
  rig_.reset();
  instruments_.load->close();
  if (instruments_.meter) instruments_.meter->close();
  loop_.stop_virtual_time();
  loop_.run(watch_->stay());
}

void Session::require_attendance(const RunRequest& request) const {
  if (instruments_.load->guards_itself() || request.attended) return;
  throw InputError(
      fmt::format("{}: \"load.dialect\": {} has no low-voltage stop and no watchdog: if this "
                  "computer dies, nothing stops the "
                  "discharge; stay by the pack and add --attended, or use a dialect that has one",
                  on_.bench_file.path, on_.bench.load.dialect));
}

void Session::refuse_bad_look(const Plan& plan) const {
  auto lines = check_look(look_, on_.pack, on_.bench, limits_);
  for (auto& line : check_power(plan, on_.pack, on_.bench, look_.voltage_v))
    lines.push_back(std::move(line));
  for (const CheckLine& line : lines)
    if (line.result == CheckResult::bad)
      throw InputError(fmt::format("{}: {}; {}", on_.pack_file.path, line.text, line.remedy));
}

awaitable<std::vector<std::string>> Session::protect() {
  const auto remarks = co_await instruments_.load->protect(guards());
  co_return expect(remarks);
}

drivers::Guards Session::guards() const {
  return {protection_a(), limits_.power_high_w, limits_.pack_low_v, kWatchdog_s};
}

/// What may be measured, but no load can be set above its own rating. In whole milliamperes: some
/// loads refuse more digits.
double Session::protection_a() const {
  return std::round(1000.0 * std::min(limits_.current_high_a, on_.bench.load.max_current_a)) /
         1000.0;
}

/// run_plan() makes the load safe however a run ends. Should it fail itself, as when memory is out,
/// this is the net below.
reports::RunClosing Session::carry_out_safely(const RunRequest& request) {
  try {
    return loop_.run(carry_out(request), [this] { return journal_->wait_for_writer(); });
  } catch (const std::exception&) {
    loop_.run(switch_off_with_alarm());
    throw;
  } catch (...) {
    journal_->abandon();  // see Surroundings::begun
    throw;
  }
}

/// What the files say of how the load follows a setpoint.
Agility Session::agility() const {
  const drivers::Dialect& dialect = instruments_.load->dialect();
  const auto& decimals =
      dialect.list ? dialect.list->currents.decimals : dialect.set_current.decimals;
  Agility load;
  load.slew_a_per_s = on_.bench.load.slew_a_per_s.value_or(load.slew_a_per_s);
  if (decimals) load.step_a = std::pow(10.0, -*decimals);
  return load;
}

awaitable<reports::RunClosing> Session::carry_out(const RunRequest& request) {
  Progress progress;
  const auto status =
      request.telling == Telling::all ? make_run_status(loop_.io()) : std::unique_ptr<RunWatch>();
  if (request.telling != Telling::nothing)
    rig_->on_warning(
        [](const std::string& warning) { say(fmt::format("sagbench: {}\n", warning)); });
  const auto recharger = make_recharger();
  Foretelling foretelling(request.archive_path, journal_->run_id(), loop_.virtual_time());
  RunTeller teller(watches_and(status.get()), begun(request), *rig_, *journal_, progress);
  reports::RunClosing closing =
      co_await run_plan(RunParts{*rig_, request.plan, on_.pack, *recharger, progress, request.seed,
                                 agility(), [this] { return off_alarm_->give_up(); },
                                 [this](const std::string& trouble) { off_alarm_->sound(trouble); },
                                 continuation_ ? &*continuation_ : nullptr,
                                 [&request](const std::string& line) {
                                   if (request.telling != Telling::all) return;
                                   say(fmt::format("sagbench: {}\n", line));
                                 },
                                 &foretelling, [&teller](bool off) { teller.load_off(off); }});
  teller.ended(closing);
  if (!teller.is_told(watch_.get())) watch_.reset();
  rig_->on_warning(nullptr);
  co_return closing;
}

/// Those of the run.
std::vector<RunWatch*> Session::watches_and(RunWatch* status) const {
  std::vector<RunWatch*> watches;
  for (RunWatch* watch : {watch_.get(), status})
    if (watch != nullptr) watches.push_back(watch);
  return watches;
}

std::unique_ptr<Recharger> Session::make_recharger() {
  if (world_ != nullptr) return std::make_unique<VirtualRecharger>(*world_, loop_.clock());
  return std::make_unique<OperatorRecharger>(loop_.io());
}

}  // namespace sagbench::bench
