// The program dies in the middle of a capacity discharge, the bench lives on, and the next program
// goes on: judged by what the simulated world itself counted. In virtual time.

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <cmath>

#include "bench/files/pack_file.hpp"
#include "bench/run/loaded_run.hpp"
#include "bench/run/run_session.hpp"
#include "bench/run/surroundings.hpp"
#include "catch.hpp"
#include "virtual_run.hpp"

using namespace sagbench;
using nlohmann::json;
using reports::RunEnd;

namespace {

/// No std::exception: nothing catches it, as nothing catches kill -9.
struct Death {};

json pack_json() {
  return {{"schema", "sagbench/pack/1"}, {"name", "Mortal"},
          {"chemistry", "LFP"},          {"series", 4},
          {"rated_capacity_Ah", 2},      {"max_discharge_current_A", 4},
          {"end_of_discharge_V", 10.0}};
}

json bench_json() {
  const json voltage = {{"of_reading", 0.0005}, {"of_range", 0.0002}, {"range_V", 60}};
  const json current = {{"of_reading", 0.001}, {"of_range", 0.0005}, {"range_A", 5}};
  const json sharp = {{"of_reading", 0.00005}, {"of_range", 0.00002}, {"range_V", 20}};
  return {{"schema", "sagbench/bench/1"},
          {"load",
           {{"port", "virtual"},
            {"dialect", "scpi-1999-guarded"},
            {"max_current_A", 5},
            {"max_power_W", 100},
            {"max_voltage_V", 60},
            {"accuracy", {{"voltage", voltage}, {"current", current}}}}},
          {"meter",
           {{"port", "virtual"},
            {"channels", {{"pack", 101}, {"temperature", 106}}},
            {"accuracy", {{"voltage", sharp}, {"temperature_C", 0.5}}}}}};
}

bench::BenchAndPack bench_and_pack() {
  bench::BenchAndPack on{
      {"bench.json", ".", bench_json()}, {"pack.json", ".", pack_json()}, {}, {}};
  on.bench = bench::bench_from_json(on.bench_file.json, "bench.json");
  on.pack = bench::pack_from_json(on.pack_file.json, "pack.json");
  return on;
}

/// A bench that outlives the programs which use it.
class LastingBench {
 public:
  explicit LastingBench(std::uint64_t seed)
      : world_(bench::world_of(on_.pack, on_.bench), bench::load_of(on_.bench),
               bench::meter_of(on_.bench), seed) {}

  /// Runs the plan, or goes on with `continue_run`. Nothing when the program died after `dies_s`.
  std::optional<bench::RunResult> run(const std::string& continue_run, double dies_s) {
    bench::RunRequest request{on_, {}, folder_.file("a.db"), false, bench::Telling::nothing,
                              1,   {}, continue_run};
    const json steps = json::array({{{"do", "rest"}, {"seconds", 60}},
                                    {{"do", "capacity"}, {"current_A", 2}},
                                    {{"do", "rest"}, {"seconds", 30}}});
    request.plan =
        bench::plan_from_json({{"schema", "sagbench/plan/1"}, {"steps", steps}}, "plan.json", ".");
    bench::Surroundings around{world_, now_, {}, {}, {}};
    around.begun = [&](bench::EventLoop& loop, const auto&) { begun(loop, dies_s); };
    if (cut)
      around.line = [this](auto line, drivers::Clock& clock) {
        return cuttable(std::move(line), clock);
      };
    around.alarmed = [this](const std::string&) { ++alarms; };
    around.told = [this](const std::string& text) { told.push_back(text); };
    try {
      auto result = bench::run_session(request, around);
      wait(2.0);  // the last second was not told of
      return result;
    } catch (const Death&) {
      return std::nullopt;
    }
  }

  /// Of the lines to the instruments, from the next run on.
  tests::Cut cut;
  std::vector<std::string> told;  // before a run
  int alarms = 0;

  double now_s() const { return drivers::to_seconds(now_); }
  void wait(double seconds) { now_ += drivers::from_seconds(seconds); }
  drivers::virtual_bench::Truth truth() { return world_.truth(now_); }
  reports::Archive archive() const {
    return reports::Archive(folder_.file("a.db"), reports::Archive::Access::read);
  }

 private:
  std::unique_ptr<drivers::Transport> cuttable(std::unique_ptr<drivers::Transport> line,
                                               drivers::Clock& clock) {
    const std::string name = line->name();
    return std::make_unique<tests::TappedTransport>(std::move(line), name, clock, sent_,
                                                    not_meddled_, no_delay_s_, &cut);
  }

  void begun(bench::EventLoop& loop, double dies_s) {
    boost::asio::co_spawn(loop.io(), die(loop.clock(), dies_s),
                          [](const std::exception_ptr& thrown) {
                            if (thrown) std::rethrow_exception(thrown);
                          });
  }

  boost::asio::awaitable<void> die(drivers::Clock& clock, double dies_s) {
    const auto alarm = clock.make_alarm();
    const drivers::Time end = clock.now() + drivers::from_seconds(dies_s);
    while (clock.now() < end) {
      now_ = clock.now();
      co_await alarm->until(std::min(end, clock.now() + drivers::from_seconds(1.0)));
    }
    now_ = clock.now();
    throw Death{};
  }

  bench::BenchAndPack on_ = bench_and_pack();
  tests::TemporaryFolder folder_;
  drivers::virtual_bench::VirtualBench world_;
  drivers::Time now_{0};
  std::vector<tests::Sent> sent_;
  const tests::Meddle not_meddled_;
  const double no_delay_s_ = 0.0;
};

constexpr double kNever_s = 1e6;

}  // namespace

TEST_CASE("A discharge that died at any moment goes on and finds the charge that flowed") {
  const double dies_s = GENERATE(75.3, 400.0, 1800.7, 3000.2);
  const double gap_s = GENERATE(0.3, 4.0, 12.0, 1700.0);
  CAPTURE(dies_s, gap_s);
  LastingBench bench(11);
  REQUIRE_FALSE(bench.run("", dies_s));
  CHECK(bench.truth().input_on);  // nobody switched off
  bench.wait(gap_s);
  CHECK(bench.truth().input_on == (gap_s < 9.0));  // but its watchdog, after 10 s
  const std::string id = bench.archive().runs().front().id;
  const auto result = bench.run(id, kNever_s);
  REQUIRE(result);
  INFO(result->closing.reason);
  CHECK(result->run_id == id);
  CHECK(result->closing.end == RunEnd::done);
  CHECK_FALSE(bench.truth().input_on);

  const auto run = bench::load_run(bench.archive(), id);
  REQUIRE(run.figures.capacity);
  const auto& capacity = run.figures.capacity->charge_ah;
  const double truth_ah = bench.truth().charge_removed_ah;
  CAPTURE(capacity.value, capacity.expanded_uncertainty, truth_ah);
  CHECK(std::abs(capacity.value - truth_ah) <= capacity.expanded_uncertainty);
  CHECK(capacity.expanded_uncertainty < 0.02);  // 22 s of 2 A are 12.2 mAh
  CHECK(run.figures.complete);
  REQUIRE(run.figures.gaps.size() == 1);
  CHECK(run.recording.steps.size() == 3);
}

TEST_CASE("A run that died again and again goes on each time") {
  LastingBench bench(12);
  REQUIRE_FALSE(bench.run("", 500.0));
  const std::string id = bench.archive().runs().front().id;
  int deaths = 1;
  std::optional<bench::RunResult> result;
  for (const double dies_s : {0.001, 2.0, 600.0, 0.5, 300.0}) {
    bench.wait(20.0);
    REQUIRE_FALSE(bench.run(id, dies_s));
    ++deaths;
  }
  bench.wait(20.0);
  result = bench.run(id, kNever_s);
  REQUIRE(result);
  CHECK(result->closing.end == RunEnd::done);
  const auto run = bench::load_run(bench.archive(), id);
  REQUIRE(run.figures.capacity);
  const auto& capacity = run.figures.capacity->charge_ah;
  const double truth_ah = bench.truth().charge_removed_ah;
  CAPTURE(capacity.value, capacity.expanded_uncertainty, truth_ah, run.figures.gaps.size());
  CHECK(std::abs(capacity.value - truth_ah) <= capacity.expanded_uncertainty);
  CHECK(run.figures.gaps.size() >= 3);
  CHECK(static_cast<int>(run.figures.gaps.size()) <= deaths);
}

TEST_CASE("A run that died is closed by the next one, which begins anew") {
  LastingBench bench(13);
  REQUIRE_FALSE(bench.run("", 300.0));
  bench.wait(3.0);
  REQUIRE_FALSE(bench.run("", 70.0));
  const auto runs = bench.archive().runs();
  REQUIRE(runs.size() == 2);
  CHECK(runs[0].end == RunEnd::running);
  CHECK(runs[1].end == RunEnd::interrupted);
  const auto record = bench.archive().load(runs[1].id);
  CHECK(record.closing.load_confirmed_off);
  CHECK(record.steps.back().end == analysis::StepEnd::interrupted);
  CHECK(record.steps.back().end_s == record.samples.back().time_s);
}

TEST_CASE("A load out of reach after its program died is told to switch off until it hears it") {
  LastingBench bench(14);
  REQUIRE_FALSE(bench.run("", 300.0));
  bench.wait(2.0);
  REQUIRE(bench.truth().input_on);
  bench.cut = [back_s = bench.now_s() + 3.0](double time_s, const std::string& line) {
    return time_s < back_s && line.find("load") != std::string::npos;
  };
  bench.told.clear();
  bench.alarms = 0;
  REQUIRE_FALSE(bench.run("", 5.0));  // dies in its first rest, before the load's watchdog acts
  CHECK_FALSE(bench.truth().input_on);
  REQUIRE_FALSE(bench.told.empty());
  CHECK(
      bench.told.front() ==
      "sagbench: the archive holds a run that was cut short, which may have left the load on; the "
      "load does not answer, and is told to switch off until it does\n");
  CHECK(bench.alarms > 0);
}
