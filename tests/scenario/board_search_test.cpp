// The search for the current at which a protection board opens, on the virtual bench.
#include <algorithm>
#include <boost/asio/co_spawn.hpp>

#include "bench/files/input_error.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/run/loaded_run.hpp"
#include "bench/run/run_session.hpp"
#include "bench/run/surroundings.hpp"
#include "catch.hpp"
#include "reports/archive.hpp"
#include "virtual_run.hpp"

using namespace sagbench;
using namespace sagbench::tests;
using nlohmann::json;

namespace {

json pack_json(bool board) {
  return {{"schema", "sagbench/pack/1"}, {"name", "with a board"},
          {"chemistry", "LFP"},          {"series", 4},
          {"rated_capacity_Ah", 10},     {"max_discharge_current_A", 28},
          {"protection_board", board}};
}

const json kBench = metered_bench();

bench::RunRequest request_of(const std::string& archive, double up_to_a, bool board) {
  const json plan = {{"schema", "sagbench/plan/1"},
                     {"steps",
                      {{{"do", "peak-current"},
                        {"currents_A", {5, 10}},
                        {"hold_s", 1},
                        {"find_board_trip", true},
                        {"up_to_A", up_to_a}},
                       {{"do", "rest"}, {"seconds", 5}}}}};
  bench::RunRequest request;
  request.on.bench_file = {"bench.json", ".", kBench};
  request.on.pack_file = {"pack.json", ".", pack_json(board)};
  request.on.bench = bench::bench_from_json(kBench, "bench.json");
  request.on.pack = bench::pack_from_json(request.on.pack_file.json, "pack.json");
  request.plan = bench::plan_from_json(plan, "plan.json", ".");
  request.archive_path = archive;
  request.attended = true;
  // The pack's own board is set for 20 A and opens 20 % above that, whatever its owner says.
  request.world = bench::world_of(request.on.pack, request.on.bench);
  request.world->pack.max_discharge_current_a = 20.0;
  return request;
}

reports::ReportInput ran(const bench::RunRequest& request) {
  const auto result = bench::run_session(request);
  CHECK(result.closing.end == reports::RunEnd::done);
  CHECK(result.closing.load_confirmed_off);
  const reports::Archive archive(request.archive_path, reports::Archive::Access::read);
  return bench::load_run(archive, result.run_id);
}

/// A board that has opened stays open.
boost::asio::awaitable<void> keep_open(drivers::virtual_bench::VirtualBench& world,
                                       drivers::Clock& clock) {
  const auto alarm = clock.make_alarm();
  for (;;) {
    co_await alarm->until(clock.now() + drivers::from_seconds(0.5));
    if (world.truth(clock.now()).board_open) world.open_board(clock.now());
  }
}

bool told(const reports::ReportInput& input, const char* words) {
  return std::ranges::any_of(input.record.events, [words](const reports::Event& event) {
    return event.text.find(words) != std::string::npos;
  });
}

}  // namespace

TEST_CASE("the board's limit is found, and the run goes on when it has closed again") {
  const TemporaryFolder folder;
  const auto input = ran(request_of(folder.file("a.db"), 28, true));
  const auto& trip = input.figures.board_trip;
  REQUIRE(trip);
  REQUIRE(trip->opened);
  CHECK(trip->held_a < 24.1);
  CHECK(trip->opened_a > 23.9);
  CHECK(trip->opened_a < 25.0);  // 24 A and one step of 0.7 A
  CHECK(trip->not_after_s < 0.1);
  CHECK(told(input, "Never do this to cells without a protection of their own"));
  CHECK(told(input, "the protection board opened at"));
  CHECK(input.recording.steps[0].end == analysis::StepEnd::completed);
  CHECK(input.recording.steps[1].end == analysis::StepEnd::completed);
}

TEST_CASE("a board that does not open up to the current given is said so") {
  const TemporaryFolder folder;
  const auto input = ran(request_of(folder.file("a.db"), 15, true));
  REQUIRE(input.figures.board_trip);
  CHECK_FALSE(input.figures.board_trip->opened);
  CHECK(input.figures.board_trip->held_a == Approx(15.0));
  CHECK(told(input, "did not open up to 15.00 A"));
}

TEST_CASE("a board that waits for a charger ends the step, and the run goes on with what it can") {
  const TemporaryFolder folder;
  const auto request = request_of(folder.file("a.db"), 28, true);
  drivers::virtual_bench::VirtualBench world(*request.world, bench::load_of(request.on.bench),
                                             bench::meter_of(request.on.bench), request.seed);
  bench::Surroundings around{world, {}, {}, {}, {}};
  around.begun = [&](bench::EventLoop& loop, const auto&) {
    boost::asio::co_spawn(loop.io(), keep_open(world, loop.clock()),
                          [](const std::exception_ptr& thrown) {
                            if (thrown) std::rethrow_exception(thrown);
                          });
  };
  const auto result = bench::run_session(request, around);
  CHECK(result.closing.end == reports::RunEnd::done);
  CHECK(result.closing.load_confirmed_off);
  const auto record = record_of(request.archive_path);
  REQUIRE(record.steps.size() == 2);
  CHECK(record.steps[0].end == analysis::StepEnd::protection_board);
  CAPTURE(record.steps[0].why);
  CHECK(record.steps[0].why.starts_with("the protection board opened at 24."));
  CHECK(record.steps[0].why.ends_with(" A and did not close again within 30 s"));
  CHECK(record.steps[1].end == analysis::StepEnd::completed);
}

TEST_CASE("a search that empties the pack to its end-of-discharge voltage ends there") {
  const TemporaryFolder folder;
  auto request = request_of(folder.file("a.db"), 28, true);
  request.on.pack.end_of_discharge_v = 13.0;  // under 20 A, below what opens the board
  const auto input = ran(request);
  CHECK(told(input, "the search for the board's limit ended at"));
  CHECK(input.record.steps[0].end == analysis::StepEnd::end_of_discharge);
  CHECK(input.record.steps[1].end == analysis::StepEnd::completed);
}

TEST_CASE("it is refused without a board, and above what the pack may give") {
  const TemporaryFolder folder;
  CHECK_THROWS_WITH(bench::run_session(request_of(folder.file("a.db"), 28, false)),
                    "plan.json: \"steps[0].find_board_trip\": true is not accepted; only for a "
                    "pack whose file says \"protection_board\": true, since nothing else protects "
                    "the cells then");
  CHECK_THROWS_WITH(bench::run_session(request_of(folder.file("a.db"), 29, true)),
                    "plan.json: \"steps[0].up_to_A\": 29 A is not accepted; at most 28 A, because "
                    "the pack's max_discharge_current_A is 28 A");
}
