// The two-point method of IEC 60896-21 on the virtual bench, from the plan to its figures.
#include <algorithm>
#include <cmath>

#include "bench/files/input_error.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/run/loaded_run.hpp"
#include "bench/run/run_session.hpp"
#include "catch.hpp"
#include "reports/archive.hpp"
#include "virtual_run.hpp"

using namespace sagbench;
using namespace sagbench::tests;
using nlohmann::json;

namespace {

json bench_with_leads() {
  json made = metered_bench();
  made["leads"] = {{"resistance_ohm", 0.02}};
  return made;
}

bench::RunRequest request_of(const std::string& archive, const std::string& chemistry,
                             double rated_ah, const json& peaks) {
  json step = {{"do", "peak-current"}, {"currents_A", {5, 10}}, {"hold_s", 2}};
  step.update(peaks);
  const json plan = {{"schema", "sagbench/plan/1"}, {"steps", {step}}};
  const json pack = {{"schema", "sagbench/pack/1"},   {"name", "twelve volts"},
                     {"chemistry", chemistry},        {"series", chemistry == "LFP" ? 4 : 6},
                     {"rated_capacity_Ah", rated_ah}, {"max_discharge_current_A", 25}};
  bench::RunRequest request;
  request.on.bench_file = {"bench.json", ".", bench_with_leads()};
  request.on.pack_file = {"pack.json", ".", pack};
  request.on.bench = bench::bench_from_json(bench_with_leads(), "bench.json");
  request.on.pack = bench::pack_from_json(pack, "pack.json");
  request.plan = bench::plan_from_json(plan, "plan.json", ".");
  request.archive_path = archive;
  request.attended = true;
  return request;
}

std::string fault(const bench::RunRequest& request) {
  try {
    bench::run_session(request);
  } catch (const bench::InputError& error) {
    return error.what();
  }
  return "";
}

const json kTwoPoint = {{"two_point", true}};

}  // namespace

// 4 I10 for 20 s, a break, 20 I10 for 5 s, of 10 Ah: 4 A and 20 A (IEC 60896-21:2004, 6.3; from
// memory). What the pack's circuit is made of is in drivers/virtual and not known to the analysis:
// the same pack's peaks of 5 A and 10 A, looked at after a second, bound it from below.
TEST_CASE("a lead-acid pack's two points are drawn where the plan says so") {
  const TemporaryFolder folder;
  const auto result = bench::run_session(request_of(folder.file("a.db"), "AGM", 10, kTwoPoint));
  CHECK(result.closing.end == reports::RunEnd::done);
  CHECK(result.closing.load_confirmed_off);
  const reports::Archive archive(folder.file("a.db"), reports::Archive::Access::read);
  const auto input = bench::load_run(archive, result.run_id);
  const auto& resistances = input.figures.resistances;
  REQUIRE(resistances.two_point);
  CHECK(resistances.two_point->low_a == Approx(4.0).epsilon(0.01));
  CHECK(resistances.two_point->high_a == Approx(20.0).epsilon(0.01));
  CHECK(resistances.two_point->ohm.expanded_uncertainty > 0.0);
  CHECK(resistances.two_point->short_circuit_a.value ==
        Approx(resistances.two_point->open_circuit_v.value / resistances.two_point->ohm.value));
  REQUIRE(resistances.repeatability.size() >= 1);
  const auto& at_1_s = resistances.repeatability.back();
  CHECK(at_1_s.after_s == Approx(1.0));
  CHECK(at_1_s.ohm.count == 2);
  CHECK(at_1_s.ohm.mean > 0.5 * resistances.two_point->ohm.value);

  // The load of this bench does not sense at the pack: the leads that the bench file states.
  REQUIRE(resistances.contact);
  CHECK(std::abs(resistances.contact->ohm.value - 0.02) <
        resistances.contact->ohm.expanded_uncertainty);
}

// End-of-discharge voltages between what the pack shows at rest and under the current that it lets
// go of.
TEST_CASE("a two-point resistance whose current cannot be held is missing, and the run says why") {
  const TemporaryFolder folder;
  const bool higher = GENERATE(true, false);
  auto request = request_of(folder.file("a.db"), "AGM", 10, kTwoPoint);
  request.on.pack.end_of_discharge_v = higher ? 12.4 : 12.8;
  const auto result = bench::run_session(request);
  CHECK(result.closing.end == reports::RunEnd::done);
  const reports::Archive archive(folder.file("a.db"), reports::Archive::Access::read);
  const auto input = bench::load_run(archive, result.run_id);
  CHECK_FALSE(input.figures.resistances.two_point);
  const std::string told =
      higher ? "the two-point resistance is missing: its higher current was let go early: the pack "
               "reached its end-of-discharge voltage, 12.40 V"
             : "the two-point resistance is missing: its lower current was let go early: the pack "
               "reached its end-of-discharge voltage, 12.80 V";
  CHECK(std::ranges::any_of(input.record.events,
                            [&](const reports::Event& event) { return event.text == told; }));
}

TEST_CASE("the two-point method is refused where it does not belong") {
  const TemporaryFolder folder;
  CHECK(fault(request_of(folder.file("a.db"), "LFP", 10, kTwoPoint)) ==
        "plan.json: \"steps[0].two_point\": true is not accepted for LFP; the method of IEC "
        "60896-21 is for lead-acid packs (AGM, gel, flooded)");
  CHECK(fault(request_of(folder.file("b.db"), "AGM", 14, kTwoPoint)) ==
        "plan.json: \"steps[0].two_point\": 28 A is not accepted; at most 25 A, because the pack's "
        "max_discharge_current_A is 25 A");
}
