// What a peak-current step leaves out or ends early, and why: on the virtual bench, as the record
// of the run has it.
#include <algorithm>

#include "bench/files/pack_file.hpp"
#include "bench/run/run_session.hpp"
#include "catch.hpp"
#include "reports/archive.hpp"
#include "virtual_run.hpp"

using namespace sagbench;
using namespace sagbench::tests;
using nlohmann::json;

namespace {

const json kBench = metered_bench();

/// One peak-current step on a pack of four LFP cells. `capacity_factor`: of the rated capacity, as
/// the cells have it.
reports::RunRecord ran(double rated_ah, double most_a, const json& peaks,
                       double capacity_factor = 1.0) {
  json step = {{"do", "peak-current"}};
  step.update(peaks);
  const json pack = {{"schema", "sagbench/pack/1"},
                     {"name", "twelve volts"},
                     {"chemistry", "LFP"},
                     {"series", 4},
                     {"rated_capacity_Ah", rated_ah},
                     {"max_discharge_current_A", most_a},
                     {"end_of_discharge_V", 10.0}};
  const TemporaryFolder folder;
  bench::RunRequest request;
  request.on.bench_file = {"bench.json", ".", kBench};
  request.on.pack_file = {"pack.json", ".", pack};
  request.on.bench = bench::bench_from_json(kBench, "bench.json");
  request.on.pack = bench::pack_from_json(pack, "pack.json");
  request.plan = bench::plan_from_json(
      {{"schema", "sagbench/plan/1"}, {"steps", json::array({step})}}, "plan.json", ".");
  request.archive_path = folder.file("a.db");
  request.attended = true;
  request.world = bench::world_of(request.on.pack, request.on.bench);
  request.world->cells.assign(4, {capacity_factor, 1.0, 0.0});
  const auto result = bench::run_session(request);
  CHECK(result.closing.end == reports::RunEnd::done);
  CHECK(result.closing.load_confirmed_off);
  return record_of(request.archive_path);
}

/// Whether the pack was sampled in this phase.
bool has(const reports::RunRecord& record, analysis::Phase phase) {
  return std::ranges::any_of(record.samples,
                             [phase](const analysis::Sample& s) { return s.phase == phase; });
}

std::string only_note(const reports::RunRecord& record) {
  REQUIRE(record.events.size() == 1);
  CHECK(record.events.front().severity == "note");
  return record.events.front().text;
}

}  // namespace

TEST_CASE("a pack that may not give 1 It goes without the resistance that takes it") {
  const auto record = ran(30, 25, {{"currents_A", {5}}, {"hold_s", 1}});
  CHECK(only_note(record) ==
        "d.c. resistance by IEC 61960-3 left out: 1 It is 30.00 A, allowed is 25.00 A");
  CHECK_FALSE(has(record, analysis::Phase::high_current));
  CHECK(has(record, analysis::Phase::peak));
}

TEST_CASE("peaks at a state of charge that the ones before went past are left out") {
  // 5 A for 30 s are 4 % of 1 Ah.
  const auto record = ran(1, 10, {{"currents_A", {5}}, {"hold_s", 30}, {"at_charge", {0.9, 0.89}}});
  CHECK(only_note(record) == "peaks at 89 % charge left out: the pack is already below");
  CHECK(record.steps.front().end == analysis::StepEnd::completed);
}

TEST_CASE("a pack that is empty before the next state of charge ends the step on the way there") {
  const auto record =
      ran(2, 10, {{"currents_A", {5}}, {"hold_s", 1}, {"at_charge", {0.9, 0.2}}}, 0.6);
  CHECK(record.steps.front().end == analysis::StepEnd::end_of_discharge);
  CHECK(record.steps.front().why ==
        "on the way to 20 % charge the pack reached its end-of-discharge voltage, 10.00 V");
}
