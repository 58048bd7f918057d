#include "bench/files/plan_file.hpp"

#include <filesystem>

#include "analysis/full_pack.hpp"
#include "bench/files/input_error.hpp"
#include "bench/run/controller.hpp"
#include "catch.hpp"

using namespace sagbench::bench;
using nlohmann::json;

namespace {

const json kRadio = {{"schema", "sagbench/radio/1"}, {"name", "R"},          {"class", "QRO"},
                     {"supply_min_V", 11.7},         {"supply_max_V", 15.9}, {"receive_A", 1.0},
                     {"transmit_peak_A", 20}};

Plan plan_of(const json& steps) {
  return plan_from_json({{"schema", "sagbench/plan/1"}, {"steps", steps}}, "plan.json", ".");
}

std::string fault(const json& steps) {
  try {
    plan_of(steps);
  } catch (const InputError& error) {
    return error.what();
  }
  return "no fault";
}

}  // namespace

TEST_CASE("the steps of the design are read") {
  const Plan plan = plan_of({{{"do", "rest"}, {"minutes", 10}},
                             {{"do", "capacity"}, {"rate_It", 0.2}},
                             {{"do", "peak-current"},
                              {"currents_A", {20, 5, 10}},
                              {"hold_s", 10},
                              {"at_charge", {0.2, 0.9, 0.5}}},
                             {{"do", "transmit"},
                              {"radio", kRadio},
                              {"mode", "ssb"},
                              {"transmit_share", 0.33},
                              {"minutes", 30},
                              {"until", "end_of_discharge"}}});
  CHECK(std::get<RestStep>(plan.steps[0].what).seconds == Approx(600.0));
  const auto& peaks = std::get<PeakCurrentStep>(plan.steps[2].what);
  CHECK(peaks.currents_a == std::vector<double>{5, 10, 20});     // rising
  CHECK(peaks.at_charge == std::vector<double>{0.9, 0.5, 0.2});  // falling
  const auto& transmit = std::get<TransmitStep>(plan.steps[3].what);
  CHECK_FALSE(transmit.until_supply_min);
  CHECK(*transmit.seconds == Approx(1800.0));
  CHECK(step_from_json(plan.steps[3].source, "run").what.index() == plan.steps[3].what.index());
}

TEST_CASE("what a plan may not say") {
  CHECK(fault(json::array()).find("at least one step") != std::string::npos);
  CHECK(fault({{{"do", "charge"}}}) ==
        "plan.json: \"steps[0].do\": \"charge\" is not accepted; one of rest, capacity, "
        "peak-current, transmit");
  CHECK(fault({{{"do", "capacity"}}}).find("exactly one of rate_It and current_A") !=
        std::string::npos);
  CHECK(fault({{{"do", "capacity"}, {"rate_It", 0.2}, {"current_A", 2}}}).find("exactly one") !=
        std::string::npos);
  CHECK(
      fault({{{"do", "rest"}, {"minutes", 1}, {"seconds", 1}}}).find("either minutes or seconds") !=
      std::string::npos);
  CHECK(fault({{{"do", "rest"}}}).find("says how long") != std::string::npos);
  CHECK(fault({{{"do", "rest"}, {"minutes", 1}, {"current_A", 2}}})
            .find("unknown key \"steps[0].current_A\"") != std::string::npos);
  CHECK(fault({{{"do", "transmit"},
                {"radio", "nowhere.json"},
                {"mode", "ssb"},
                {"transmit_share", 0.3}}}) ==
        (std::filesystem::path(".") / "nowhere.json").string() + ": no such file");
}

TEST_CASE("a board's limit is searched only where the plan says so and how far") {
  const json peaks = {{"do", "peak-current"}, {"currents_A", {5, 10}}};
  const auto with = [&](const json& keys) {
    json step = peaks;
    step.update(keys);
    return json::array({step});
  };
  CHECK_FALSE(
      std::get<PeakCurrentStep>(plan_of(json::array({peaks})).steps[0].what).board_trip_up_to_a);
  const Plan plan = plan_of(with({{"find_board_trip", true}, {"up_to_A", 30}}));
  CHECK(std::get<PeakCurrentStep>(plan.steps[0].what).board_trip_up_to_a == 30.0);
  CHECK(fault(with({{"find_board_trip", true}})).find("with it \"up_to_A\"") != std::string::npos);
  CHECK(fault(with({{"up_to_A", 30}})).find("only with \"find_board_trip\": true") !=
        std::string::npos);
  CHECK(fault(with({{"find_board_trip", false}, {"up_to_A", 30}})).find("only with") !=
        std::string::npos);
  CHECK(fault(with({{"find_board_trip", true}, {"up_to_A", 10}}))
            .find("more than the largest of currents_A") != std::string::npos);
}

TEST_CASE("the two-point method is asked for in so many words") {
  const json peaks = {{"do", "peak-current"}, {"currents_A", {5}}};
  const auto with = [&](const json& two_point) {
    json step = peaks;
    step["two_point"] = two_point;
    return json::array({step});
  };
  const auto asked = [](const Plan& plan) {
    return std::get<PeakCurrentStep>(plan.steps[0].what).two_point;
  };
  CHECK_FALSE(asked(plan_of(json::array({peaks}))));
  CHECK_FALSE(asked(plan_of(with(false))));
  const Plan plan = plan_of(with(true));
  CHECK(asked(plan));
  CHECK(std::get<PeakCurrentStep>(step_from_json(plan.steps[0].source, "run").what).two_point);
  CHECK(fault(with(1)).find("plan.json: \"steps[0].two_point\": 1") == 0);
  // IEC 60896-21:2004, 6.3 (from memory): 4 and 20 times the current of ten hours, 0.7 A of 7 Ah.
  sagbench::analysis::Pack pack;
  pack.rated_capacity_ah = 7.0;
  CHECK(two_point_low_a(pack) == Approx(2.8));
  CHECK(highest_current_a(plan.steps[0], pack) == Approx(14.0));
  std::vector<double> named_a;
  for (const NamedCurrent& current : currents_of(plan.steps[0], pack))
    if (current.key == std::string("two_point")) named_a.push_back(current.current_a);
  CHECK(named_a == std::vector{two_point_low_a(pack), two_point_high_a(pack)});
}

TEST_CASE("which steps need a recharge first") {
  const Plan plan =
      plan_of({{{"do", "rest"}, {"minutes", 10}},
               {{"do", "capacity"}, {"rate_It", 0.2}},
               {{"do", "peak-current"}, {"currents_A", {5}}, {"at_charge", {0.5}}},
               {{"do", "transmit"}, {"radio", kRadio}, {"mode", "ssb"}, {"transmit_share", 0.33}}});
  CHECK(recharge_need(plan.steps[0], 0.0) == RechargeNeed::none);
  CHECK(recharge_need(plan.steps[1], 1.0) == RechargeNeed::none);
  CHECK(recharge_need(plan.steps[1], 0.9) == RechargeNeed::required);
  // What the analysis would not take for full, a capacity step does not begin with.
  CHECK(recharge_need(plan.steps[1], 1.0 - sagbench::analysis::kFullShare) ==
        RechargeNeed::required);
  CHECK(recharge_need(plan.steps[1], 1.0 - 0.5 * sagbench::analysis::kFullShare) ==
        RechargeNeed::none);
  CHECK(recharge_need(plan.steps[2], 0.6) == RechargeNeed::none);
  CHECK(recharge_need(plan.steps[2], 0.4) == RechargeNeed::required);
  CHECK(recharge_need(plan.steps[3], 1.0) == RechargeNeed::none);
  CHECK(recharge_need(plan.steps[3], 0.5) == RechargeNeed::useful);
  CHECK(recharge_need(plan.steps[3], 0.0) == RechargeNeed::required);
}
