// One pack over its tests: what its history tells, what it must not, and its pages.
#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "catch.hpp"
#include "report_fixture.hpp"
#include "reports/ageing_chart.hpp"
#include "reports/ageing_report.hpp"
#include "reports/iso_date.hpp"

namespace sagbench::reports {
namespace {

/// A test of the fixture's pack (10 Ah) with this capacity and resistance.
RunDigest tested(const std::string& date, double capacity_ah, double ohm = 0.03) {
  RunDigest run = digest_of(fixture::run_with("Elder", capacity_ah, 0.03));
  run.run_id = date;
  run.utc = date + "T08:00:00Z";
  run.dc_resistance = analysis::Resistance{{ohm, 0.0005, 2.0}, "IEC 61960-3", 0.95};
  run.discharged_ah = 25.0;
  run.simulated = false;
  return run;
}

/// It loses 0.45 Ah a year: 8 Ah after 4.4 years, in May 2025.
std::vector<RunDigest> old_pack() {
  return {tested("2021-01-01", 10.0, 0.030), tested("2022-01-01", 9.55, 0.031),
          tested("2023-01-01", 9.1, 0.032), tested("2024-01-01", 8.65, 0.033),
          tested("2025-01-01", 8.2, 0.034)};
}

bool says(const AgeingHistory& history, const std::string& words) {
  return std::ranges::any_of(statements_on(history), [&](const std::string& line) {
    return line.find(words) != std::string::npos;
  });
}

void require_sound(const AgeingHistory& history) {
  PdfDocument document("test", "");
  draw_ageing(document, history, "sagbench");
  for (const std::string& fault : document.layout_faults()) FAIL_CHECK(fault);
  CHECK(document.bytes().size() > 1000);
}

TEST_CASE("a falling capacity has a trend, an end and a next test") {
  const AgeingHistory history = ageing_history(old_pack());
  REQUIRE(history.capacity().by_day);
  CHECK(history.capacity().by_day->slope.value * 365.25 == Approx(-0.45).epsilon(1e-3));
  REQUIRE(history.worn.earliest);
  REQUIRE(history.worn.latest);
  CHECK(history.date_of(*history.worn.earliest) < "2025-06-11");
  CHECK(history.date_of(*history.worn.latest) > "2025-06-11");
  CHECK(history.date_of(*history.worn.latest) < "2025-09");
  const std::string next = history.date_of(*history.next->day);
  CHECK(next > "2025-02");
  CHECK(next < "2025-04");
  CHECK(says(history, "Capacity falls by 0.450"));
  CHECK(says(history, "of the rated 10"));
  CHECK(says(history, "D.c. resistance rises by 1.00"));
  require_sound(history);
}

TEST_CASE("the order in which runs come does not matter") {
  auto runs = old_pack();
  std::ranges::reverse(runs);
  CHECK(ageing_json(ageing_history(runs)) == ageing_json(ageing_history(old_pack())));
}

TEST_CASE("use is what the archive's runs drew before each test") {
  const AgeingHistory history = ageing_history(old_pack());
  CHECK(history.tests[0].use == 0.0);
  CHECK(history.tests[4].use == Approx(10.0));  // four times 25 Ah of 10 Ah
  CHECK(says(history, "a full discharge"));
}

TEST_CASE("only tests that are alike make a trend, and of the others it is said why not") {
  auto runs = old_pack();
  analysis::Capacity cold = *runs[2].capacity;
  cold.temperature_c = 2.0;
  runs[2].capacity = cold;
  runs[3].dated = false;
  const AgeingHistory history = ageing_history(runs);
  CHECK(history.capacity().tests == std::vector<std::size_t>{0, 1, 4});
  REQUIRE(history.capacity().left_out.size() == 2);
  CHECK(history.capacity().left_out[0].why ==
        "2 \xC2\xB0"
        "C instead of 23 \xC2\xB0"
        "C");
  CHECK(history.capacity().left_out[1].why == "its date is that of its import");
  require_sound(history);
}

TEST_CASE("one test tells how the pack is and two how they differ, and no more") {
  const AgeingHistory one = ageing_history({tested("2021-01-01", 9.0)});
  CHECK(says(one, "one test tells how it is, not how it changes"));
  CHECK(says(one, "cannot be told"));
  CHECK(says(one, "Next test: 2022-01-01"));
  require_sound(one);
  const AgeingHistory two = ageing_history({tested("2021-01-01", 9.0), tested("2022-01-01", 8.8)});
  CHECK(says(two, "two tests that are alike differ by"));
  CHECK(says(two, "which is significant"));
  CHECK_FALSE(two.worn.earliest);
  require_sound(two);
}

TEST_CASE("a pack of which nothing was measured is told as such") {
  const AgeingHistory history = ageing_history({digest_of(fixture::aborted_run())});
  CHECK(says(history, "No test measured the capacity"));
  CHECK_FALSE(history.next);
  require_sound(history);
}

TEST_CASE("simulated runs do not age a measured pack, nor the other way round") {
  auto runs = old_pack();
  runs[1].simulated = true;
  const AgeingHistory measured = ageing_history(runs);
  CHECK(measured.tests.size() == 4);
  CHECK(measured.cautions[0].find("1 simulated run of this pack is left out") == 0);
  runs[4].simulated = true;
  CHECK(ageing_history(runs).tests.size() == 2);
}

TEST_CASE("many tests of a pack with endless names stay on their pages") {
  std::vector<RunDigest> runs;
  for (int i = 0; i < 150; ++i) {
    RunDigest run = tested(iso_text(days_later({2015, 1, 1}, 30L * i)), 10.0 - 0.01 * i);
    run.pack.name = std::string(200, 'W') + " " + std::string(60, 'i');
    run.pack.serial = std::string(80, 'S');
    runs.push_back(run);
  }
  require_sound(ageing_history(runs));
}

/// An operation's hours, as each run of old_pack() tells them: a tenth of its capacity (Ah) in A.
OperationAnswers on_the_summit(const std::vector<RunDigest>& runs, const std::string& name) {
  OperationAnswers asked;
  asked.operation.name = name;
  asked.operation.hours = 6.0;
  for (const RunDigest& run : runs) {
    analysis::Endurance answer;
    const double hours = run.capacity->charge_ah.value;
    answer.hours = analysis::Measured{hours, 0.01 * hours, 2.0};
    answer.limited_by = "capacity";
    asked.by_run[run.run_id] = answer;
  }
  return asked;
}

TEST_CASE("hours for an operation have a trend of their own") {
  const auto runs = old_pack();
  const AgeingHistory history = ageing_history(runs, {on_the_summit(runs, "Summit")});
  REQUIRE(history.operations.size() == 1);
  const AgeingSeries& hours = history.operations[0].hours;
  REQUIRE(hours.by_day);
  CHECK(hours.by_day->slope.value * 365.25 == Approx(-0.45).epsilon(1e-3));
  CHECK(says(history, "Endurance for Summit falls by 0.4"));
  CHECK(hours.conditions.find("the capacity") != std::string::npos);
  const auto json = nlohmann::json::parse(ageing_json(history));
  CHECK(json["operations"][0]["operation"] == "Summit");
  CHECK(json["operations"][0]["hours"]["trend"]["value_h_per_year"].get<double>() ==
        Approx(-0.45).epsilon(1e-3));
  CHECK(json["operations"][0]["hours"]["tests"][0]["value_h"] == 10.0);
  require_sound(history);
}

TEST_CASE("hours that are no figure or of another kind are no part of their trend") {
  auto runs = old_pack();
  runs.push_back(tested("2025-06-01", 8.0));
  OperationAnswers asked = on_the_summit(runs, "Summit");
  asked.by_run[runs[0].run_id].hours_are_minimum = true;
  asked.by_run[runs[1].run_id].hours_are_maximum = true;
  asked.by_run[runs[4].run_id].by_test = true;
  analysis::Endurance& unlimited = asked.by_run[runs[5].run_id];
  unlimited.unlimited = true;
  unlimited.hours = analysis::Finding<analysis::Measured>::missing("recharge covers the draw");
  const AgeingHistory history = ageing_history(runs, {asked});
  const AgeingSeries& hours = history.operations[0].hours;
  CHECK_FALSE(hours.by_day);
  REQUIRE(hours.left_out.size() == 4);
  CHECK(hours.left_out[0].why.find("only a minimum") == 0);
  CHECK(hours.left_out[1].why.find("only a maximum") == 0);
  CHECK(hours.left_out[2].why.find("instead of") != std::string::npos);
  CHECK(hours.left_out[3].why == "recharge covers the draw");
  require_sound(history);
}

TEST_CASE("many operations with endless names stay on their pages") {
  const auto runs = old_pack();
  std::vector<OperationAnswers> asked;
  for (int i = 0; i < 6; ++i) asked.push_back(on_the_summit(runs, std::string(150, 'W')));
  const AgeingHistory history = ageing_history(runs, asked);
  std::vector<std::string> names;
  for (const NamedChart& chart : ageing_charts(history)) {
    CHECK(chart.chart.panels.size() <= 4);
    names.push_back(chart.name);
  }
  CHECK(names == std::vector<std::string>{"over-time", "endurance", "endurance-2", "over-use"});
  require_sound(history);
}

TEST_CASE("the JSON names what the pages say") {
  const auto json = nlohmann::json::parse(ageing_json(ageing_history(old_pack())));
  CHECK(json["pack"] == "Elder");
  CHECK(json["capacity"]["trend"]["value_Ah_per_year"].get<double>() ==
        Approx(-0.45).epsilon(1e-3));
  CHECK(json["capacity"]["trend"]["significant"] == true);
  CHECK(json["capacity"]["tests"].size() == 5);
  CHECK(json["usable_QRO"]["trend"].is_null());
  CHECK_FALSE(json["usable_QRO"]["trend_why"].get<std::string>().empty());
  CHECK(json["worn"]["earliest"].get<std::string>() < json["worn"]["latest"].get<std::string>());
  CHECK(json["next_test"]["date"].is_string());
}

}  // namespace
}  // namespace sagbench::reports
