#include "bench/live/live_messages.hpp"

#include <nlohmann/json.hpp>

#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::live;
using nlohmann::json;

namespace {

RunFacts facts() {
  RunFacts facts;
  facts.run_id = "20260620-080000-0a1f";
  facts.utc = "2026-06-20T08:00:00Z";
  facts.archive_path = "/home/q/club.db";
  facts.pack.name = "Thimble \xff\"";
  facts.pack.rated_capacity_ah = 10.0;
  facts.plan = {"rest", "capacity at 2 A"};
  return facts;
}

json hello(const std::string& ended = "") {
  return json::parse("{\"type\":\"hello\"" + hello_json(facts(), ended) + "}");
}

}  // namespace

TEST_CASE("the first message tells what is fixed of a run, not where its archive lies") {
  const json run = hello()["run"];
  CHECK(run["id"] == "20260620-080000-0a1f");
  CHECK(run["archive"] == "club.db");
  CHECK(run["pack"]["name"] == "Thimble \xef\xbf\xbd\"");
  CHECK(run["pack"]["serial"].is_null());
  CHECK(run["rated_Ah"] == 10.0);
  CHECK(run["plan"].size() == 2);
  CHECK(run["ended"].is_null());
  CHECK(run["limits"].size() == bench::safety_checks().size());
  for (const json& limit : run["limits"]) CHECK_FALSE(limit["title"].get<std::string>().empty());
  CHECK(hello(end_json("x", {reports::RunEnd::safety, "too hot",
                             true}))["run"]["ended"]["reason"] == "too hot");
}

TEST_CASE("a state: steps from one, what cannot be told null, nothing that is no number") {
  bench::RunState state;
  state.time_s = 12.3456789;
  state.plan_step = 1;
  state.label = "capacity at 2 A";
  state.step_left = {100.0, 20.0};
  state.input_on = true;
  state.commanded_a = 2.0;
  state.standing =
      bench::RunStanding{1.5, {{bench::CheckId::pack_low, std::nan(""), 8.0, "V", 0.0}}};
  state.peaks = {{10.0, 20.0, 13.0, 12.25}};
  const json told = json::parse(state_json(facts(), state, {"mind"}));
  CHECK(told["type"] == "state");
  CHECK(told["time_s"] == 12.34568);
  CHECK(told["step"] == json({{"index", 2},
                              {"count", 2},
                              {"label", "capacity at 2 A"},
                              {"ends_in_s", 100.0},
                              {"ends_in_doubt_s", 20.0}}));
  CHECK(told["next"].is_null());
  CHECK(told["run_ends_in_s"].is_null());
  CHECK(told["input_on"] == true);
  CHECK(told["charge_removed_Ah"] == 1.5);
  CHECK(told["limits"][0]["id"] == "pack_low");
  CHECK(told["limits"][0]["value"].is_null());
  CHECK(told["peaks"][0]["sag_V"] == 0.75);
  CHECK(told["cautions"] == json({"mind"}));
}

TEST_CASE("before the first step there is none, and a recharge comes before the step it is for") {
  bench::RunState state;
  CHECK(json::parse(state_json(facts(), state, {}))["step"].is_null());
  CHECK(json::parse(state_json(facts(), state, {}))["charge_removed_Ah"].is_null());
  state.plan_step = 1;
  state.label = "recharge";
  CHECK(json::parse(state_json(facts(), state, {}))["next"] == "capacity at 2 A");
  state.plan_step = 0;
  state.label = "rest";
  CHECK(json::parse(state_json(facts(), state, {}))["next"] == "capacity at 2 A");
}

TEST_CASE("what another program's archive tells: what is not known from there is null") {
  SeenState seen;
  CHECK(json::parse(seen_state_json(facts(), seen))["step"].is_null());
  CHECK(json::parse(seen_state_json(facts(), seen))["next"] == "rest");
  seen.planned = 1;
  const json told = json::parse(seen_state_json(facts(), seen));
  CHECK(told["input_on"].is_null());
  CHECK(told["step"]["index"] == 1);
  CHECK(told["step"]["label"] == "rest");
  CHECK(told["next"] == "capacity at 2 A");
}

TEST_CASE("cautions are warnings, and not more than a person reads") {
  std::vector<std::string> cautions;
  for (int i = 0; i < 1000; ++i) {
    add_caution(cautions, {1.0 * i, "note", "nothing"});
    add_caution(cautions, {1.0 * i, "warning", "warning " + std::to_string(i)});
  }
  REQUIRE(cautions.size() == 20);
  CHECK(cautions.front() == "warning 0");
}

TEST_CASE("events and the end") {
  const json event = json::parse(event_json({3.0, "warning", "it\nwarms"}));
  CHECK(event ==
        json({{"type", "event"}, {"time_s", 3.0}, {"kind", "warning"}, {"text", "it\nwarms"}}));
  const json end = json::parse(end_json("r", {reports::RunEnd::operator_stop, "", true}));
  CHECK(end == json({{"type", "end"},
                     {"end", "stopped"},
                     {"exit_code", 5},
                     {"reason", nullptr},
                     {"load_confirmed_off", true},
                     {"run", "r"}}));
}
