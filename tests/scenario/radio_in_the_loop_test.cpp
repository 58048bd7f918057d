// The radio in the loop on whole virtual runs: at each tick the pack's own voltage decides what the
// radio draws and whether it is still on the air.
#include <algorithm>
#include <cmath>

#include "analysis/figures.hpp"
#include "bench/run/loaded_run.hpp"
#include "catch.hpp"
#include "virtual_run.hpp"

using namespace sagbench;
using namespace sagbench::tests;
using analysis::Phase;
using analysis::Sample;
using analysis::StepEnd;
using nlohmann::json;
using reports::RunEnd;

namespace {

/// 4S LFP whose resistance is four times that of sound cells: 20 A take it below 11.7 V.
std::vector<drivers::virtual_bench::CellTrait> weak_cells(double resistance_factor = 4.0) {
  std::vector<drivers::virtual_bench::CellTrait> cells(4);
  for (auto& cell : cells) cell.resistance_factor = resistance_factor;
  return cells;
}

json radio(const char* stage, double min_v, double peak_a) {
  return {{"schema", "sagbench/radio/1"},
          {"name", "R"},
          {"class", "QRO"},
          {"supply_min_V", min_v},
          {"supply_max_V", 15.9},
          {"supply_nominal_V", 13.8},
          {"receive_A", 1.0},
          {"transmit_peak_A", peak_a},
          {"transmit_idle_A", 2.0},
          {"stage", stage},
          {"cable_ohm", 0.01}};
}

json transmit(json radio, const char* mode, double share) {
  return {
      {{"do", "transmit"}, {"radio", std::move(radio)}, {"mode", mode}, {"transmit_share", share}}};
}

bench::Bench list_bench() {
  bench::Bench made = demo_bench(4);
  made.load.dialect = "scpi-1999-list";
  return made;
}

double supply_v(const Sample& sample) {
  return sample.voltage_v - 0.01 * sample.current_a;
}

bool mentions(const reports::RunRecord& record, const std::string& words) {
  return std::any_of(record.events.begin(), record.events.end(), [&](const reports::Event& event) {
    return event.text.find(words) != std::string::npos;
  });
}

int drop_outs(const reports::RunRecord& record) {
  int count = 0;
  for (std::size_t i = 1; i < record.samples.size(); ++i)
    if (record.samples[i].phase == Phase::dropped_out &&
        record.samples[i - 1].phase != Phase::dropped_out)
      ++count;
  return count;
}

/// Of the test's pack and a bench of unstated accuracy.
analysis::Figures figures_of(const reports::RunRecord& record) {
  analysis::Recording recording;
  recording.pack = demo_pack();
  recording.steps = bench::steps_of(record, recording.pack);
  for (const reports::AskedRow& row : record.asked)
    recording.steps[static_cast<std::size_t>(row.step)].asked.push_back(row.asked);
  recording.samples = record.samples;
  recording.complete = true;
  return analysis::analyse(recording);
}

/// Of the only transmit step.
analysis::Delivery only_delivery(const reports::RunRecord& record) {
  const auto on_air = figures_of(record).on_air;
  REQUIRE(on_air.size() == 1);
  REQUIRE(on_air[0].delivered);
  return *on_air[0].delivered;
}

}  // namespace

TEST_CASE("a weak pack drops the radio at its peaks and takes it back while nothing is drawn") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 1, weak_cells());
  json steps = transmit(radio("linear", 11.7, 20), "cw", 0.3);
  steps[0]["minutes"] = 20;
  const auto closing = run.run(steps, folder.file("a.db"));
  CHECK(closing.end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  CHECK(drop_outs(record) >= 1);
  for (std::size_t i = 1; i < record.samples.size(); ++i) {
    const Sample& sample = record.samples[i];
    const Sample& before = record.samples[i - 1];
    if (sample.phase == Phase::dropped_out) CHECK(sample.commanded_a == 0.0);
    if (sample.phase == Phase::dropped_out && before.phase != Phase::dropped_out)
      CHECK(supply_v(before) <= 11.7);
    const bool on = sample.phase == Phase::transmit || sample.phase == Phase::receive;
    if (before.phase == Phase::dropped_out && on) CHECK(before.voltage_v >= 1.03 * 11.7);
  }
  CHECK(mentions(record, "drop-out 1: the radio's supply fell to"));
}

TEST_CASE(
    "until supply_min the step ends when the radio would not stay on, and tells what is left") {
  const TemporaryFolder folder;
  const bool by_list = GENERATE(false, true);
  INFO("by the load's own list: " << by_list);
  VirtualRun run(demo_pack(), by_list ? list_bench() : demo_bench(4), 2);
  json steps = json::array();
  steps.push_back({{"do", "capacity"}, {"rate_It", 0.5}});
  steps.push_back(transmit(radio("linear", 11.7, 20), "ft8", 0.5)[0]);
  steps[1]["until"] = "supply_min";
  const auto closing = run.run(steps, folder.file("a.db"));
  CHECK(closing.end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  REQUIRE(record.steps.back().end == StepEnd::supply_min);
  CHECK(record.steps.back().why.find("would not stay on after") != std::string::npos);
  CHECK_FALSE(run.truth().cell_below_floor);
  const int counted = drop_outs(record);
  const analysis::Figures figures = figures_of(record);
  REQUIRE(figures.on_air.size() == 1);
  const analysis::OnAir& air = figures.on_air.front();
  CHECK(air.drop_outs == counted);
  CHECK(air.drop_outs >= 1);
  CHECK(air.on_air_hours < air.hours);
  CHECK(air.on_air_hours > 0.5);
  REQUIRE(air.usable_ah);
  REQUIRE(air.left_ah);
  CHECK(*air.usable_ah + *air.left_ah == Approx(figures.capacity->charge_ah.value));
  CHECK(*air.usable_ah > 5.0);
  CHECK(*air.left_ah > 0.0);
}

TEST_CASE("a regulated radio draws more as the pack falls, in proportion") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 3);
  const auto closing =
      run.run(transmit(radio("constant-power", 11.0, 10), "fm", 0.9), folder.file("a.db"));
  CHECK(closing.end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  double first_a = 0.0, highest_a = 0.0, worst = 0.0;
  for (const Sample& sample : record.samples) {
    if (sample.phase != Phase::transmit) continue;
    if (first_a == 0.0) first_a = sample.current_a;
    CHECK(sample.commanded_a * 1e4 == Approx(std::round(sample.commanded_a * 1e4)).margin(1e-6));
    highest_a = std::max(highest_a, sample.current_a);
    // Off the moment of an edge, the current is that of the power at the supply it makes.
    if (sample.time_s - *sample.commanded_since_s > 0.3 && supply_v(sample) > 11.0)
      worst = std::max(worst, std::abs(sample.current_a * supply_v(sample) / 138.0 - 1.0));
  }
  CHECK(first_a == Approx(138.0 / 13.2).epsilon(0.05));
  CHECK(highest_a > 138.0 / 11.5);
  CHECK(highest_a < 138.0 / 11.0 * 1.02);
  CHECK(worst < 0.02);
}

TEST_CASE("a regulated radio is held at what pack, fuse and load allow, and the record says so") {
  const TemporaryFolder folder;
  analysis::Pack pack = demo_pack();
  pack.max_discharge_current_a = 21.0;
  VirtualRun run(pack, demo_bench(4), 4, weak_cells(2.0));
  json steps = transmit(radio("constant-power", 10.0, 20), "fm", 0.5);
  steps[0]["minutes"] = 5;
  CHECK(run.run(steps, folder.file("a.db")).end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  for (const Sample& sample : record.samples) CHECK(sample.commanded_a <= 21.0);
  CHECK(mentions(record, "times the current was held at 21 A"));
}

TEST_CASE("each sample says how old the voltage was that decided its current") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 5);
  json steps = transmit(radio("constant-power", 11.0, 10), "ssb", 0.5);
  steps[0]["minutes"] = 5;
  CHECK(run.run(steps, folder.file("a.db")).end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  int transmitting = 0;
  for (const Sample& sample : record.samples) {
    const bool on = sample.phase == Phase::transmit || sample.phase == Phase::receive;
    CHECK(sample.voltage_age_s.has_value() == on);
    if (!on) continue;
    CHECK(*sample.voltage_age_s >= 0.0);
    CHECK(*sample.voltage_age_s < 0.7);  // at most the pause between two samples while receiving
    if (sample.phase == Phase::transmit) ++transmitting;
  }
  CHECK(transmitting > 150 / 0.03);  // closed every 20 ms or so through half of the time
  CHECK(mentions(record, "Loop closed every "));
}

TEST_CASE("an instrument that now and then is slow leaves missed ticks in the record") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 6);
  int lost = 0;
  run.meddle = [&lost](double time_s, const std::string&, const std::string& asked, std::string&) {
    if (time_s < 60.0 || lost >= 3 || asked.find("CURR?") == std::string::npos) return true;
    return time_s < 60.0 + 20.0 * lost || ++lost < 0;  // one answer every twenty seconds is lost
  };
  json steps = transmit(radio("linear", 11.0, 10), "fm", 1.0);
  steps[0]["minutes"] = 3;
  CHECK(run.run(steps, folder.file("a.db")).end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  long missed = 0;
  int with = 0;
  for (const Sample& sample : record.samples) {
    missed += sample.missed_ticks;
    with += sample.missed_ticks > 10 ? 1 : 0;
  }
  CHECK(lost == 3);
  CHECK(with == 3);
  CHECK(mentions(record, std::to_string(missed) + " missed"));
}

TEST_CASE("a radio that bears less than the rested pack gives leaves the step out") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 7);
  json narrow = radio("linear", 11.0, 10);
  narrow["supply_max_V"] = 13.0;
  narrow["supply_nominal_V"] = 12.0;
  json steps = transmit(narrow, "cw", 0.5);
  CHECK(run.run(steps, folder.file("a.db")).end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  CHECK(record.steps.back().end == StepEnd::skipped);
  CHECK(record.steps.back().why.find("above its supply_max_V of 13 V") != std::string::npos);
  CHECK(std::all_of(record.samples.begin(), record.samples.end(),
                    [](const Sample& sample) { return sample.commanded_a == 0.0; }));
}

TEST_CASE("a radio that needs more than the rested pack gives leaves the step out") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 7);
  json greedy = radio("linear", 14.2, 10);
  greedy["supply_nominal_V"] = 14.5;
  json steps = transmit(greedy, "cw", 0.5);
  CHECK(run.run(steps, folder.file("a.db")).end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  CHECK(record.steps.back().end == StepEnd::skipped);
  CHECK(record.steps.back().why.find("below its supply_min_V of 14.2 V") != std::string::npos);
}

// On for a minute and more each time, and off for ten minutes: it is the sum that ends it.
TEST_CASE("a radio that was off for an hour in all is off the air") {
  const TemporaryFolder folder;
  bench::Bench plain = demo_bench(0);
  plain.meter.reset();  // the load's own reading is the pack's
  VirtualRun run(demo_pack(), plain, 1);
  constexpr double kDipEvery_s = 700.0, kDip_s = 2.0, kOff_s = 600.0;
  run.meddle = [&](double time_s, const std::string&, const std::string& asked,
                   std::string& answer) {
    const bool dips = std::fmod(time_s + 10.0, kDipEvery_s) < kDip_s;
    if (dips && asked.ends_with("VOLT?")) answer = "11.5\n";
    return true;
  };
  json patient = radio("linear", 11.7, 3);
  patient["restart_s"] = kOff_s;
  json steps = transmit(patient, "fm", 0.3);
  steps[0]["until"] = "supply_min";
  const auto closing = run.run(steps, folder.file("a.db"));
  INFO(closing.reason);
  CHECK(closing.end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  CHECK(drop_outs(record) == 6);
  CHECK(record.steps.back().end == StepEnd::supply_min);
  CHECK(record.steps.back().why.find("after 6 drop-outs below 11.7 V: it has been off for 60 min "
                                     "in all") != std::string::npos);
}

TEST_CASE("on the load's own list the record says that the loop closes once an over") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), list_bench(), 8);
  json steps = transmit(radio("constant-power", 11.0, 10), "cw", 0.5);
  steps[0]["minutes"] = 5;
  CHECK(run.run(steps, folder.file("a.db")).end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  CHECK(mentions(record, "Loop closed once an over"));
  for (const Sample& sample : record.samples)
    if (sample.phase == Phase::transmit) CHECK(sample.voltage_age_s.value_or(99.0) < 31.0);
}

TEST_CASE("a pattern too quick for a slow line is reduced, and what is drawn keeps its figures") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 1);
  run.answer_takes_s = 0.03;
  json steps = transmit(radio("linear", 10.0, 15), "ssb", 0.5);
  steps[0]["minutes"] = 20;
  CHECK(run.run(steps, folder.file("a.db")).end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  CHECK(mentions(record, "Pattern reduced in "));
  const analysis::Delivery delivery = only_delivery(record);
  CHECK(delivery.asked.duration_s == Approx(1200.0).margin(1.0));
  CHECK(delivery.delivered.mean_a == Approx(delivery.asked.mean_a).epsilon(0.03));
  CHECK(delivery.delivered.rms_a == Approx(delivery.asked.rms_a).epsilon(0.03));
  CHECK(delivery.delivered.peak_a == Approx(delivery.asked.peak_a).epsilon(0.02));
}

TEST_CASE("a load that keeps up draws what the radio asks for, edge by edge") {
  const bool by_list = GENERATE(false, true);
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), by_list ? list_bench() : demo_bench(4), 1);
  json steps = transmit(radio("linear", 10.0, 15), "cw", 0.5);
  steps[0]["minutes"] = 10;
  CHECK(run.run(steps, folder.file("a.db")).end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  CHECK_FALSE(mentions(record, "Pattern reduced"));
  const analysis::Delivery delivery = only_delivery(record);
  CHECK(delivery.delivered.mean_a == Approx(delivery.asked.mean_a).epsilon(0.02));
  CHECK(delivery.delivered.rms_a == Approx(delivery.asked.rms_a).epsilon(0.02));
  CHECK(delivery.delivered.peak_a == Approx(delivery.asked.peak_a).epsilon(0.02));
  CHECK(delivery.delivered_key_down == Approx(delivery.asked_key_down).margin(0.01));
  CHECK(delivery.edges.asked > 1000);
}

TEST_CASE("in a pattern that the line carries no reading makes an edge late") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 1);
  run.answer_takes_s = GENERATE(0.0, 0.003);
  json steps = transmit(radio("linear", 10.0, 8), "cw", 1.0);
  steps[0]["words_per_minute"] = 24;  // units of 50 ms
  steps[0]["minutes"] = 5;
  CHECK(run.run(steps, folder.file("a.db")).end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  CHECK_FALSE(mentions(record, "Pattern reduced"));
  const analysis::EdgeTiming edges = only_delivery(record).edges;
  CHECK(edges.asked > 3000);
  CHECK(edges.unseen == 0);
  CHECK(edges.nearly_all_within_s.value() < 0.001);
  CHECK(edges.worst_s.value() < 0.02);
}

TEST_CASE("a pattern that the line cannot follow at all is left out, with its reason") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(0), 1);
  run.answer_takes_s = 0.5;
  json steps = transmit(radio("linear", 10.0, 15), "ssb", 0.5);
  steps[0]["minutes"] = 20;
  steps[0]["rhythm"] = "contest";
  CHECK(run.run(steps, folder.file("a.db")).end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  REQUIRE(record.steps.size() == 1);
  CHECK(record.steps[0].end == StepEnd::skipped);
  CHECK(record.steps[0].why.find("here a current has to stand") != std::string::npos);
}

TEST_CASE("while the radio is silent nothing is asked for") {
  const TemporaryFolder folder;
  VirtualRun run(demo_pack(), demo_bench(4), 1, weak_cells());
  json steps = transmit(radio("linear", 11.7, 20), "cw", 0.3);
  steps[0]["minutes"] = 20;
  CHECK(run.run(steps, folder.file("a.db")).end == RunEnd::done);
  const auto record = record_of(folder.file("a.db"));
  REQUIRE(drop_outs(record) > 0);
  REQUIRE(record.asked.size() > 2);
  double last_s = 0.0;
  for (const reports::AskedRow& row : record.asked) {
    REQUIRE(row.asked.start_s >= last_s);
    last_s = row.asked.start_s;
  }
  const auto asked_at = [&](double time_s) {
    double current_a = -1.0;
    for (const reports::AskedRow& row : record.asked)
      if (row.asked.start_s <= time_s) current_a = row.asked.current_a;
    return current_a;
  };
  int silent = 0;
  for (const Sample& sample : record.samples) {
    if (sample.phase != Phase::dropped_out) continue;
    ++silent;
    REQUIRE(asked_at(sample.time_s) == 0.0);
  }
  CHECK(silent > 0);
}
