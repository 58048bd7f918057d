// When a run that was cut short may go on, from where, and with what in doubt.
#include "bench/run/continuation.hpp"

#include <functional>

#include "bench/files/input_error.hpp"
#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::bench;
using analysis::Phase;
using analysis::Sample;
using analysis::StepEnd;
using analysis::StepKind;
using nlohmann::json;

namespace {

constexpr double kWatchdogS = 10.0;
// The archive may be 5 s behind, samples come once a second, an answer may be asked for again for 5
// s; the watchdog counts from there.
constexpr double kLongestOnS = kWatchdogS + 12.0;
const std::chrono::sys_seconds kBegan =
    std::chrono::sys_days(std::chrono::year{2026} / 3 / 1) + std::chrono::hours(8);

json pack_json() {
  return {{"schema", "sagbench/pack/1"}, {"name", "Field day"},
          {"chemistry", "LFP"},          {"series", 4},
          {"rated_capacity_Ah", 10},     {"max_discharge_current_A", 5}};
}

json bench_json() {
  return {{"schema", "sagbench/bench/1"},
          {"load",
           {{"port", "tcp:127.0.0.1:5025"},
            {"dialect", "scpi-1999-guarded"},
            {"max_current_A", 30},
            {"max_power_W", 300},
            {"max_voltage_V", 60},
            {"accuracy",
             {{"voltage", {{"of_reading", 0.0005}, {"of_range", 0.0002}, {"range_V", 20}}},
              {"current", {{"of_reading", 0.001}, {"of_range", 0.0005}, {"range_A", 30}}}}}}}};
}

json rest_step() {
  return {{"do", "rest"}, {"minutes", 1}};
}
json capacity_step() {
  return {{"do", "capacity"}, {"current_A", 2}};
}

json plan_json() {
  return {{"schema", "sagbench/plan/1"},
          {"steps", json::array({rest_step(), capacity_step(), rest_step()})}};
}

Sample sample_at(double time_s, int step, double current_a, double voltage_v) {
  Sample sample;
  sample.time_s = time_s;
  sample.voltage_v = voltage_v;
  sample.current_a = sample.commanded_a = current_a;
  sample.commanded_since_s = current_a > 0.0 ? 61.0 : 0.0;
  sample.step = step;
  sample.phase = current_a > 0.0 ? Phase::discharge : Phase::rest;
  return sample;
}

/// A minute's rest and an hour of 2 A, cut short at 3661 s: 2 Ah removed, 13.0 V under load.
reports::RunRecord record() {
  reports::RunRecord made;
  made.id = "20260301-080000-abcd";
  made.header.utc = "2026-03-01T08:00:00Z";
  made.header.pack_name = "Field day";
  made.header.pack_json = pack_json().dump();
  made.header.bench_json = bench_json().dump();
  made.header.plan_json = plan_json().dump();
  made.header.instruments = {{"load", "MAKER,LOAD,1,1", "tcp:127.0.0.1:5025", ""}};
  made.steps = {
      {StepKind::rest, rest_step().dump(), 0.5, 60.5, StepEnd::completed, "", 0.0},
      {StepKind::capacity, capacity_step().dump(), 60.6, 60.6, StepEnd::interrupted, "", 0.0}};
  made.samples = {sample_at(0.5, 0, 0.0, 13.4), sample_at(60.0, 0, 0.0, 13.4),
                  sample_at(60.8, 1, 0.0, 13.4)};
  for (int i = 1; i <= 1800; ++i) made.samples.push_back(sample_at(61.0 + 2 * i, 1, 2.0, 13.0));
  return made;
}

AtHand at_hand(double seconds_later = 3761.0) {
  AtHand now{pack_json(),
             bench_json(),
             plan_json(),
             {{"load", "MAKER,LOAD,1,1", "", ""}},
             {},
             kWatchdogS,
             kBegan + std::chrono::seconds(0),
             false};
  now.utc += std::chrono::duration_cast<std::chrono::system_clock::duration>(
      std::chrono::duration<double>(seconds_later));
  now.look.voltage_v = 13.2;
  return now;
}

std::string refusal(const reports::RunRecord& found, const AtHand& now) {
  const auto go = continuation_of(found, now, std::nullopt);
  return go ? "goes on" : go.why();
}

}  // namespace

TEST_CASE("a sound run goes on where it was cut short, its gap stated") {
  const auto go = continuation_of(record(), at_hand(), std::nullopt);
  REQUIRE(go);
  CHECK(go->plan_step == 1);
  CHECK(go->row == 1);
  CHECK(go->step.kind == StepKind::capacity);
  CHECK(go->step.start_s == 60.6);
  CHECK(go->gap_index == 0);
  CHECK(go->gap.start_s == 3661.0);
  CHECK(go->gap.end_s == Approx(3761.0));
  CHECK(go->gap.current_a == 2.0);
  CHECK(go->gap.longest_on_s == Approx(kLongestOnS));
  CHECK(go->now_s == go->gap.end_s);
  CHECK(go->charge_removed_ah == Approx(2.0 + 2.0 * kLongestOnS / 3600.0));
  CHECK(go->reference_capacity_ah == 10.0);
  CHECK(go->brought_v == 13.4);
}

TEST_CASE("a gap shorter than the watchdog bounds what was drawn, but for the calendar's doubt") {
  const auto go = continuation_of(record(), at_hand(3665.0), std::nullopt);
  REQUIRE(go);
  CHECK(go->gap.longest_on_s == Approx(4.0 + 1.0));
}

TEST_CASE("time does not run backwards across a gap that the calendar does not show") {
  const auto go = continuation_of(record(), at_hand(3660.0), std::nullopt);
  REQUIRE(go);
  CHECK(go->gap.end_s > go->gap.start_s);
  CHECK(go->gap.end_s < go->gap.start_s + 0.1);
  CHECK(go->gap.longest_on_s > 1.0);
}

TEST_CASE("recharges are not of the plan, and a capacity found before is what charge refers to") {
  auto found = record();
  const json plan = {{"schema", "sagbench/plan/1"},
                     {"steps", json::array({capacity_step(), capacity_step()})}};
  found.header.plan_json = plan.dump();
  found.steps[0] = {
      StepKind::capacity, capacity_step().dump(), 0.5, 30.0, StepEnd::end_of_discharge, "", 0.0};
  found.steps.insert(found.steps.begin() + 1,
                     {StepKind::recharge, "{}", 30.0, 60.0, StepEnd::completed, "", 9.2});
  for (Sample& sample : found.samples) sample.step = sample.step == 0 ? 0 : 2;
  AtHand now = at_hand();
  now.plan = plan;
  const auto go = continuation_of(found, now, std::nullopt);
  REQUIRE(go);
  CHECK(go->plan_step == 1);
  CHECK(go->row == 2);
  CHECK(go->reference_capacity_ah == Approx(9.2));
}

TEST_CASE("a second gap counts beside the first, at most") {
  auto found = record();
  found.gaps = {{1061.0, 1261.0, 2.0, 36.0, "died"}};
  std::erase_if(found.samples,
                [](const Sample& s) { return s.time_s > 1061.0 && s.time_s < 1261.0; });
  const auto go = continuation_of(found, at_hand(), std::nullopt);
  REQUIRE(go);
  CHECK(go->gap_index == 1);
  // An hour but for 200 s, from the first setpoint after the gap on, and all of both gaps.
  const double measured_ah = 2.0 * (3600.0 - 200.0) / 3600.0;
  CHECK(go->charge_removed_ah ==
        Approx(measured_ah + 2.0 * 36.0 / 3600.0 + 2.0 * kLongestOnS / 3600.0).margin(0.002));
}

TEST_CASE("a gap grows when the program died again before its first sample") {
  auto found = record();
  found.gaps = {{3661.0, 3700.0, 2.0, 19.0, "died"}};
  const auto go = continuation_of(found, at_hand(), std::nullopt);
  REQUIRE(go);
  CHECK(go->gap_index == 0);
  CHECK(go->gap.start_s == 3661.0);
  CHECK(go->gap.end_s == Approx(3761.0));
  CHECK(go->gap.longest_on_s == 19.0);
  CHECK(go->charge_removed_ah == Approx(2.0 + 2.0 * 19.0 / 3600.0));
}

TEST_CASE("what makes it unsound is refused with the reason") {
  struct Case {
    const char* words;
    std::function<void(reports::RunRecord&, AtHand&)> change;
  };
  const Case cases[] = {
      {"its simulated pack went with the program",
       [](auto&, AtHand& now) { now.simulated_anew = true; }},
      {"the pack is another: \"series\" is 3, and was 4 when the run began",
       [](auto&, AtHand& now) { now.pack["series"] = 3; }},
      {"the pack is another: \"fuse_A\" is 5, and was nothing when the run began",
       [](auto&, AtHand& now) { now.pack["fuse_A"] = 5; }},
      {"the pack is another: \"max_discharge_current_A\" is nothing, and was 5",
       [](auto&, AtHand& now) { now.pack.erase("max_discharge_current_A"); }},
      {"the bench is another: \"load.dialect\" is \"scpi-1999\", and was \"scpi-1999-guarded\"",
       [](auto&, AtHand& now) { now.bench["load"]["dialect"] = "scpi-1999"; }},
      {"the plan is another: \"steps.1.current_A\" is 1, and was 2",
       [](auto&, AtHand& now) { now.plan["steps"][1]["current_A"] = 1; }},
      {"the load is another: it answers MAKER,LOAD,2,1, and MAKER,LOAD,1,1 when the run began",
       [](auto&, AtHand& now) { now.instruments[0].identity = "MAKER,LOAD,2,1"; }},
      {"there was another number of instruments",
       [](auto&, AtHand& now) {
         now.instruments.push_back({"meter", "M", "", ""});
       }},
      {"nothing had been measured yet",
       [](reports::RunRecord& found, auto&) { found.samples.clear(); }},
      {"nothing had been measured yet",
       [](reports::RunRecord& found, auto&) { found.steps.clear(); }},
      {"no usable number",
       [](reports::RunRecord& found, auto&) { found.samples[5].voltage_v = 9.9e37; }},
      {"it was cut short between two steps",
       [](reports::RunRecord& found, auto&) { found.steps[1].end = StepEnd::end_of_discharge; }},
      {"it was cut short in a transmit step; only a capacity step can go on",
       [](reports::RunRecord& found, auto&) {
         found.steps[1].kind = StepKind::transmit;
         found.steps[1].parameters_json = rest_step().dump();
       }},
      {"it had been stopped already: temperature 61 °C",
       [](reports::RunRecord& found, auto&) { found.steps[1].why = "temperature 61 °C"; }},
      {"its discharge had hardly begun",
       [](reports::RunRecord& found, auto&) { found.samples.resize(3); }},
      {"its discharge had reached the end already",
       [](reports::RunRecord& found, auto&) { found.samples.back().voltage_v = 9.99; }},
      {"its discharge had reached the end already",
       [](reports::RunRecord& found, auto&) {
         found.samples.push_back(sample_at(3663.0, 1, 2.0, 9.9));
         found.samples.push_back(sample_at(3664.0, 1, 0.0, 11.0));
       }},
      {"the load has no watchdog", [](auto&, AtHand& now) { now.watchdog_s = std::nullopt; }},
      {"its start time cannot be read",
       [](reports::RunRecord& found, auto&) { found.header.utc = "long ago"; }},
      {"it was cut short 1 h 00 min ago; at most 1 h 00 min are accepted",
       [](auto&, AtHand& now) { now.utc = kBegan + std::chrono::seconds(3661 + 3601); }},
      {"its last sample is still to come",
       [](auto&, AtHand& now) { now.utc = kBegan + std::chrono::seconds(3658); }},
      {"above the 13.40 V it had when the run began: it was charged meanwhile",
       [](auto&, AtHand& now) { now.look.voltage_v = 13.42; }},
      {"the pack stands at 10.00 V, not above its end of discharge, 10.00 V",
       [](auto&, AtHand& now) { now.look.voltage_v = 10.0; }},
      {"below the 13.00 V it had under load: something else drew from it meanwhile",
       [](auto&, AtHand& now) { now.look.voltage_v = 12.98; }},
  };
  for (const Case& each : cases) {
    auto found = record();
    AtHand now = at_hand();
    each.change(found, now);
    const std::string why = refusal(found, now);
    INFO(why);
    CHECK(why.find(each.words) != std::string::npos);
  }
}

TEST_CASE("a discharge that nobody watched for a while, while the computer slept, does not go on") {
  auto slept = record();
  const auto shift = [&slept](double by_s) {
    for (std::size_t i = slept.samples.size() - 100; i < slept.samples.size(); ++i)
      slept.samples[i].time_s += by_s;
  };
  shift(4.0);  // 6 s between two samples
  CHECK(refusal(slept, at_hand()) == "goes on");
  shift(0.001);
  CHECK(refusal(slept, at_hand()) ==
        "nobody watched its discharge for 6 s before it was cut short");
  const double from_s = slept.samples[slept.samples.size() - 101].time_s;
  slept.gaps = {{from_s, from_s + 6.0, 2.0, 6.0, "died"}};  // but of an earlier gap this is known
  CHECK(refusal(slept, at_hand()) == "goes on");
}

TEST_CASE("a run that was closed as cut short may go on all the same") {
  auto found = record();
  found.closing = {reports::RunEnd::interrupted, "the program or the computer died", true};
  found.steps[1].why = kDied;
  found.steps[1].end_s = 3661.0;
  const auto go = continuation_of(found, at_hand(), std::nullopt);
  REQUIRE(go);
  CHECK(go->step.why.empty());
}

TEST_CASE("a run of the pack begun since makes it unsound") {
  const auto go = continuation_of(record(), at_hand(), "20260301-120000-ffff");
  CHECK_FALSE(go);
  CHECK(go.why() == "run 20260301-120000-ffff was begun on the pack since");
}

TEST_CASE("what says nothing about pack, bench and plan does not matter") {
  AtHand now = at_hand();
  now.pack["builder"] = "somebody";
  now.pack["mass_kg"] = 2;
  now.pack["price"] = {{"amount", 1}, {"currency", "EUR"}};
  now.bench["name"] = "Shack";
  now.bench["load"]["port"] = "/dev/ttyUSB3";
  now.bench["load"]["baud"] = 9600;
  now.bench["load"]["calibrated"] = "2026-02-01";
  now.plan["name"] = "Again";
  now.pack["rated_capacity_Ah"] = 10.0;  // the same number
  CHECK(refusal(record(), now) == "goes on");
}

TEST_CASE("limits of time and voltage are where they are said to be") {
  AtHand now = at_hand();
  now.utc = kBegan + std::chrono::seconds(3661 + 3600);
  CHECK(refusal(record(), now) == "goes on");
  now = at_hand();
  // 0.05 % of reading and 0.02 % of 20 V: about 10.6 mV.
  now.look.voltage_v = 13.41;
  CHECK(refusal(record(), now) == "goes on");
  now.look.voltage_v = 12.99;
  CHECK(refusal(record(), now) == "goes on");
}

TEST_CASE("a tiny pack may stand lower for what its own load drew in the gap") {
  auto found = record();
  AtHand now = at_hand();
  for (json* pack : {&now.pack}) (*pack)["rated_capacity_Ah"] = 0.9;
  found.header.pack_json = now.pack.dump();
  now.look.voltage_v = 12.5;
  CHECK(refusal(found, now) == "goes on");  // 22 s of 2 A are 1.4 % of 0.9 Ah
}

TEST_CASE("a record whose files cannot be read is the user's to know") {
  auto found = record();
  found.header.pack_json = "{";
  CHECK_THROWS_AS(continuation_of(found, at_hand(), std::nullopt), InputError);
}
