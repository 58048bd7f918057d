// Who follows a run is told what the archive holds, once and in order, and changes nothing.

#include "bench/run/run_watch.hpp"

#include <algorithm>
#include <stdexcept>

#include "bench/files/input_error.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/run/run_session.hpp"
#include "catch.hpp"
#include "reports/archive.hpp"
#include "virtual_run.hpp"

using namespace sagbench;
using namespace sagbench::tests;
using nlohmann::json;

namespace {

/// What was told, for a test to look at after the run.
struct Told {
  std::optional<bench::RunBegun> run;
  std::vector<analysis::Sample> samples;
  std::vector<reports::Event> events;
  std::vector<bench::RunState> states;
  std::vector<bool> off;
  std::optional<reports::RunClosing> closing;
  std::optional<bench::RunState> after;
  bool stayed = false;
  std::function<void()> at_first_batch;
  bench::Surroundings::StopRun stop;
};

class Watch final : public bench::RunWatch {
 public:
  explicit Watch(Told& told) : told_(told) {}

  std::string_view name() const override { return "watch of a test"; }
  void begun(const bench::RunBegun& run,
             std::function<std::optional<bench::RunState>()> state) override {
    told_.run = run;
    state_ = std::move(state);
  }
  void kept(const bench::KeptBatch& batch) override {
    if (told_.samples.empty() && told_.at_first_batch) told_.at_first_batch();
    told_.samples.insert(told_.samples.end(), batch.samples.begin(), batch.samples.end());
    told_.events.insert(told_.events.end(), batch.events.begin(), batch.events.end());
    if (const auto state = state_()) told_.states.push_back(*state);
  }
  void load_off(bool off) override { told_.off.push_back(off); }
  void ended(const reports::RunClosing& closing) override { told_.closing = closing; }
  boost::asio::awaitable<bool> stay() override {
    told_.after = state_();
    told_.stayed = true;
    co_return true;
  }

 private:
  Told& told_;
  std::function<std::optional<bench::RunState>()> state_;
};

const json kPack = {{"schema", "sagbench/pack/1"}, {"name", "watched"},
                    {"chemistry", "LFP"},          {"series", 4},
                    {"rated_capacity_Ah", 10},     {"max_discharge_current_A", 28}};
const json kBench = metered_bench();
const json kPlan = {{"schema", "sagbench/plan/1"},
                    {"steps",
                     {{{"do", "rest"}, {"seconds", 20}},
                      {{"do", "peak-current"}, {"currents_A", {5, 10}}, {"hold_s", 5}}}}};

/// Followed where `told` is not null.
bench::RunRequest request(const std::string& archive, Told* told) {
  bench::RunRequest request;
  request.on.bench_file = {"bench.json", ".", kBench};
  request.on.pack_file = {"pack.json", ".", kPack};
  request.on.bench = bench::bench_from_json(kBench, "bench.json");
  request.on.pack = bench::pack_from_json(kPack, "pack.json");
  request.plan = bench::plan_from_json(kPlan, "plan.json", ".");
  request.archive_path = archive;
  request.attended = true;
  if (told == nullptr) return request;
  request.watch = [told](bench::EventLoop&, bench::Surroundings::StopRun stop) {
    told->stop = std::move(stop);
    return std::make_unique<Watch>(*told);
  };
  return request;
}

std::vector<double> times_of(const std::vector<analysis::Sample>& samples) {
  std::vector<double> times;
  for (const analysis::Sample& sample : samples) times.push_back(sample.time_s);
  return times;
}

reports::RunRecord only_run(const std::string& archive) {
  const reports::Archive opened(archive, reports::Archive::Access::read);
  return opened.load(opened.runs().front().id);
}

}  // namespace

TEST_CASE("a watch is told what the archive holds, and the run is the same without it") {
  const TemporaryFolder folder;
  Told told;
  const auto result = bench::run_session(request(folder.file("watched.db"), &told));
  bench::run_session(request(folder.file("alone.db"), nullptr));
  const auto watched = only_run(folder.file("watched.db"));
  const auto alone = only_run(folder.file("alone.db"));
  REQUIRE(told.run);
  CHECK(told.run->run_id == result.run_id);
  CHECK(told.run->utc == watched.header.utc);
  CHECK(told.run->plan == std::vector<std::string>{"rest", "peak current up to 10 A"});
  CHECK(told.run->simulated);
  CHECK(times_of(told.samples) == times_of(watched.samples));
  CHECK(told.events.size() == watched.events.size());
  CHECK(times_of(alone.samples) == times_of(watched.samples));
  CHECK(alone.seal.sha256 == watched.seal.sha256);
  CHECK(told.off == std::vector<bool>{true});
  REQUIRE(told.closing);
  CHECK(told.closing->end == reports::RunEnd::done);
  CHECK(told.stayed);
  CHECK_FALSE(told.after);
}

TEST_CASE("what a watch may ask for goes along with the run") {
  const TemporaryFolder folder;
  Told told;
  bench::run_session(request(folder.file("a.db"), &told));
  REQUIRE(told.states.size() > 10);
  const auto& first = told.states.front();
  CHECK(first.plan_step == 0);
  CHECK(first.label == "rest");
  REQUIRE(first.run_left);
  CHECK(first.run_left->seconds > first.step_left->seconds);
  CHECK(std::ranges::is_sorted(told.states, {}, &bench::RunState::time_s));
  const auto on = std::ranges::find_if(told.states, &bench::RunState::input_on);
  REQUIRE(on != told.states.end());
  CHECK(on->plan_step == 1);
  REQUIRE(on->standing);
  CHECK_FALSE(on->standing->limits.empty());
  const auto& last = told.states.back();
  REQUIRE(last.peaks.size() == 2);
  CHECK(last.peaks.back().current_a == Approx(10.0).epsilon(0.01));
  CHECK(last.peaks.back().sag_v() > last.peaks.front().sag_v());
  CHECK(last.peaks.front().sag_v() > 0.0);
}

TEST_CASE("a watch stops the run as the operator does") {
  const TemporaryFolder folder;
  Told told;
  told.at_first_batch = [&told] { told.stop(reports::RunEnd::operator_stop, "enough"); };
  const auto result = bench::run_session(request(folder.file("a.db"), &told));
  CHECK(result.closing.end == reports::RunEnd::operator_stop);
  CHECK(result.closing.reason == "enough");
  CHECK(told.off == std::vector<bool>{true});
  CHECK(told.closing->end == reports::RunEnd::operator_stop);
}

TEST_CASE("a watch that throws is followed no more, and the run goes on") {
  const TemporaryFolder folder;
  Told told;
  told.at_first_batch = [] { throw std::runtime_error("a defect of the page"); };
  const auto result = bench::run_session(request(folder.file("a.db"), &told));
  CHECK(result.closing.end == reports::RunEnd::done);
  CHECK(told.samples.empty());
  CHECK_FALSE(told.closing);
}

TEST_CASE("a watch that cannot begin is told before anything is touched") {
  const TemporaryFolder folder;
  auto refused = request(folder.file("a.db"), nullptr);
  refused.watch = [](bench::EventLoop&,
                     bench::Surroundings::StopRun) -> std::unique_ptr<bench::RunWatch> {
    throw bench::InputError("the port is taken");
  };
  CHECK_THROWS_WITH(bench::run_session(refused), "the port is taken");
  CHECK_THROWS_AS(reports::Archive(folder.file("a.db"), reports::Archive::Access::read),
                  reports::ArchiveError);
}
