#include "bench/run_session.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>
#include <unistd.h>
#include <cmath>
#include <filesystem>

#include "bench/console.hpp"
#include "bench/controller.hpp"
#include "bench/dialect_check.hpp"
#include "bench/event_loop.hpp"
#include "bench/instruments.hpp"
#include "bench/json_reader.hpp"
#include "bench/operator_recharger.hpp"
#include "bench/pack_file.hpp"
#include "bench/run_signals.hpp"
#include "bench/status_line.hpp"
#include "bench/version.hpp"
#include "bench/virtual_recharger.hpp"

namespace sagbench::bench {

using boost::asio::awaitable;
using drivers::virtual_bench::VirtualBench;

namespace {

constexpr double kWatchdog_s = 10.0;
constexpr double kGiveUpOff_s = 30.0;  // without a person at a terminal
constexpr double kAlarmEvery_s = 5.0;

template <class Value>
Value expect(drivers::Result<Value> result) {
  if (!result) throw Stop(reports::RunEnd::instrument, result.error().message);
  return std::move(*result);
}

void expect(const drivers::Result<void>& result) {
  if (!result) throw Stop(reports::RunEnd::instrument, result.error().message);
}

/// Everything a run or a check needs, in the order of destruction: the journal goes before the
/// loop.
class Session {
 public:
  Session(const BenchAndPack& on, std::uint64_t seed,
          const std::optional<drivers::virtual_bench::WorldSpec>& world)
      : on_(on), loop_(on.bench.is_virtual()), limits_(limits_for(on.pack, on.bench)) {
    if (on.bench.is_virtual())
      world_ = std::make_unique<VirtualBench>(world ? *world : world_of(on.pack, on.bench),
                                              load_of(on.bench), meter_of(on.bench), seed);
    instruments_ = make_instruments(loop_.io().get_executor(), loop_.clock(), on.bench,
                                    on.bench_file.path, world_.get());
    rig_ =
        std::make_unique<Rig>(loop_.clock(), *instruments_.load, instruments_.meter.get(), limits_);
    loop_.on_fault([this](const std::string& what) {
      rig_->request_stop(reports::RunEnd::defect, "a defect of sagbench: " + what);
    });
    signals_ = std::make_unique<RunSignals>(loop_.io(), [this](const std::string& name) {
      rig_->request_stop(reports::RunEnd::operator_stop,
                         fmt::format("stopped by the operator (signal {})", name));
    });
  }

  /// Instruments opened and identified, pack looked at, input off. True at its end, for
  /// EventLoop::run.
  awaitable<bool> look() {
    // Each await stands alone in its statement: GCC 12 compiles one inside a condition wrongly.
    const drivers::Result<void> opened = co_await instruments_.load->open();
    expect(opened);  // the input is off, whoever left it on
    const drivers::Result<bool> still_on = co_await instruments_.load->input_is_on();
    if (expect(still_on))
      throw Stop(reports::RunEnd::instrument,
                 fmt::format("load {}: the input does not switch off: pull the pack's lead",
                             instruments_.load->port()));
    if (instruments_.meter) {
      const drivers::Result<void> meter_opened = co_await instruments_.meter->open();
      expect(meter_opened);
    }
    look_ = co_await rig_->look();
    co_return true;
  }

  CheckReport check() {
    loop_.run(look());
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
           fmt::format("dialect {} has no low-voltage stop and no watchdog",
                       on_.bench.load.dialect),
           "if this computer dies nothing stops the discharge: stay by, and run with --attended"});
    return report;
  }

  RunResult run(const RunRequest& request) {
    check_guards(instruments_.load->dialect(), guards(), on_.bench_file.path);
    check_currents(instruments_.load->dialect(), request.plan, on_.pack, limits_.current_a);
    require_attendance(request);
    loop_.run(look());
    refuse_bad_look(request.plan);
    reports::Archive archive(request.archive_path, reports::Archive::Access::write,
                             loop_.virtual_time() ? reports::Archive::Durability::process_crash
                                                  : reports::Archive::Durability::power_loss);
    std::vector<std::string> notes = loop_.run(protect());
    for (const std::string& note : notes_by_files()) notes.push_back(note);
    journal_ = std::make_unique<Journal>(std::move(archive), header(request, std::move(notes)),
                                         loop_.io(), loop_.clock(), !loop_.virtual_time());
    rig_->attach(*journal_);
    RunResult result{journal_->run_id(), carry_out_safely(request)};
    journal_.reset();  // waits for the writer: after this the archive is complete on disk
    return result;
  }

 private:
  void require_attendance(const RunRequest& request) const {
    if (instruments_.load->guards_itself() || request.attended) return;
    throw InputError(
        fmt::format("{}: \"load.dialect\": {} has no low-voltage stop and no watchdog: if this "
                    "computer dies, nothing stops the "
                    "discharge; stay by the pack and add --attended, or use a dialect that has one",
                    on_.bench_file.path, on_.bench.load.dialect));
  }

  void refuse_bad_look(const Plan& plan) const {
    auto lines = check_look(look_, on_.pack, on_.bench, limits_);
    for (auto& line : check_power(plan, on_.pack, on_.bench, look_.voltage_v))
      lines.push_back(std::move(line));
    for (const CheckLine& line : lines)
      if (line.result == CheckResult::bad)
        throw InputError(fmt::format("{}: {}; {}", on_.pack_file.path, line.text, line.remedy));
  }

  awaitable<std::vector<std::string>> protect() {
    const auto remarks = co_await instruments_.load->protect(guards());
    co_return expect(remarks);
  }

  drivers::Guards guards() const {
    return {protection_a(), limits_.power_high_w, limits_.pack_low_v, kWatchdog_s};
  }

  /// What may be measured, but no load can be set above its own rating. In whole milliamperes: some
  /// loads refuse more digits.
  double protection_a() const {
    return std::round(1000.0 * std::min(limits_.current_high_a, on_.bench.load.max_current_a)) /
           1000.0;
  }

  std::vector<std::string> notes_by_files() const {
    std::vector<std::string> notes;
    if (!instruments_.load->guards_itself())
      notes.emplace_back(
          "The load has no low-voltage stop and no watchdog of its own: a person had to stay by.");
    if (!instruments_.meter)
      notes.emplace_back("No meter: pack voltage is the load's own reading, lead drop included.");
    if (instruments_.meter && !instruments_.meter->measures_temperature())
      notes.emplace_back("Temperature was not measured.");
    if (accuracy_of(on_.bench).defaulted)
      notes.emplace_back(
          "The bench file leaves out some accuracy: wide defaults stand in (common practice, no "
          "source).");
    if (!on_.pack.max_discharge_current_a && !on_.pack.fuse_a)
      notes.push_back(
          fmt::format("The pack file names neither max_discharge_current_A nor fuse_A: 1 It = {:g} "
                      "A was the limit.",
                      analysis::current_limit_a(on_.pack)));
    if (loop_.virtual_time())
      notes.emplace_back(
          "Simulated: the virtual bench, not a real pack. Its calendar always starts on the same "
          "day.");
    return notes;
  }

  reports::RunHeader header(const RunRequest& request, std::vector<std::string> notes) {
    const auto utc = std::chrono::floor<std::chrono::seconds>(loop_.clock().utc());
    reports::RunHeader header;
    header.utc = fmt::format("{:%Y-%m-%dT%H:%M:%SZ}",
                             fmt::gmtime(std::chrono::system_clock::to_time_t(utc)));
    header.pack_name = on_.pack.name;
    header.pack_json = on_.pack_file.json.dump();
    header.bench_json = on_.bench_file.json.dump();
    header.plan_json = request.plan.source.dump();
    header.instruments.push_back({"load", instruments_.load->identity(), instruments_.load->port(),
                                  on_.bench.load.calibrated});
    if (instruments_.meter)
      header.instruments.push_back({"meter", instruments_.meter->identity(),
                                    instruments_.meter->port(), on_.bench.meter->calibrated});
    header.software = kSoftware;
    header.notes = std::move(notes);
    return header;
  }

  /// run_plan() makes the load safe however a run ends. Should it fail itself, as when memory is
  /// out, this is the net below.
  reports::RunClosing carry_out_safely(const RunRequest& request) {
    try {
      return loop_.run(carry_out(request), [this] { return journal_->wait_for_writer(); });
    } catch (...) {
      loop_.run(rig_->make_safe([this] { return give_up(); },
                                [this](const std::string& trouble) { alarm(trouble); }));
      throw;
    }
  }

  awaitable<reports::RunClosing> carry_out(const RunRequest& request) {
    Progress progress;
    StatusLine status(loop_.io(), loop_.clock(), *journal_, progress,
                      request.show_progress && !loop_.virtual_time());
    const auto recharger = make_recharger();
    const double start_s = rig_->now_s();
    reports::RunClosing closing =
        co_await run_plan(RunParts{*rig_, request.plan, on_.pack, *recharger, progress,
                                   request.seed, [this] { return give_up(); },
                                   [this, &status](const std::string& trouble) {
                                     status.clear();
                                     alarm(trouble);
                                   }});
    status.finish(rig_->now_s() - start_s);
    co_return closing;
  }

  std::unique_ptr<Recharger> make_recharger() {
    if (world_) return std::make_unique<VirtualRecharger>(*world_, loop_.clock());
    return std::make_unique<OperatorRecharger>(loop_.io());
  }

  /// With a person at a terminal it goes on until confirmed or until the person says so by another
  /// signal; without, half a minute.
  bool give_up() {
    if (!trying_off_since_) trying_off_since_ = loop_.clock().now();
    if (isatty(STDERR_FILENO) == 1 && !loop_.virtual_time())
      return signals_->seen() > signals_when_off_began_;
    return drivers::to_seconds(loop_.clock().now() - *trying_off_since_) > kGiveUpOff_s;
  }

  void alarm(const std::string& trouble) {
    const drivers::Time now = loop_.clock().now();
    if (last_alarm_ && drivers::to_seconds(now - *last_alarm_) < kAlarmEvery_s) return;
    if (!last_alarm_) signals_when_off_began_ = signals_->seen();
    last_alarm_ = now;
    say(fmt::format("\aPULL THE PACK'S LEAD: the load cannot be confirmed off ({}); still trying\n",
                    trouble));
  }

  const BenchAndPack& on_;
  EventLoop loop_;
  const Limits limits_;
  std::unique_ptr<VirtualBench> world_;
  Instruments instruments_;
  std::unique_ptr<Rig> rig_;
  std::unique_ptr<RunSignals> signals_;
  std::unique_ptr<Journal> journal_;
  analysis::Sample look_;
  int signals_when_off_began_ = 0;
  std::optional<drivers::Time> trying_off_since_;
  std::optional<drivers::Time> last_alarm_;
};

}  // namespace

SourceFile read_source(const std::string& path) {
  const auto folder = std::filesystem::path(path).parent_path().string();
  return {path, folder.empty() ? "." : folder, read_json_file(path)};
}

BenchAndPack read_bench_and_pack(const std::string& bench_path, const std::string& pack_path) {
  BenchAndPack on{read_source(bench_path), read_source(pack_path), {}, {}};
  on.bench = bench_from_json(on.bench_file.json, bench_path);
  on.pack = pack_from_json(on.pack_file.json, pack_path);
  check_pack_fits(on.pack, on.bench, bench_path);
  return on;
}

RunResult run_session(const RunRequest& request) {
  check_plan(request.plan, request.on.pack, request.on.bench);
  return Session(request.on, request.seed, request.world).run(request);
}

CheckReport check_session(const BenchAndPack& on, std::uint64_t seed) {
  return Session(on, seed, std::nullopt).check();
}

}  // namespace sagbench::bench
