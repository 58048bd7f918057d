// Order, ties and honesty of the comparison.
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "catch.hpp"
#include "report_fixture.hpp"
#include "reports/comparison_rows.hpp"
#include "reports/pack_rates.hpp"

namespace sagbench::reports {
namespace {

using fixture::run_with;

std::vector<std::string> names(const std::vector<ComparisonRow>& rows) {
  std::vector<std::string> names;
  for (const auto& row : rows) names.push_back(row.input->recording.pack.name);
  return names;
}

TEST_CASE("the greater capacity comes first, whatever the order given") {
  const std::vector<ReportInput> inputs = {run_with("small", 5.0, 0.02),
                                           run_with("big", 9.0, 0.02)};
  CHECK(names(comparison_rows(inputs)) == std::vector<std::string>{"big", "small"});
}

TEST_CASE("charge usable on a QRO radio counts before capacity, and no figure comes last") {
  auto usable = fixture::whole_run();
  usable.recording.pack.name = "usable";
  const std::vector<ReportInput> inputs = {fixture::empty_run(), run_with("big", 50.0, 0.02),
                                           usable};
  CHECK(names(comparison_rows(inputs)) ==
        std::vector<std::string>{"usable", "big", "Field day pack A"});
}

TEST_CASE("a difference within both expanded uncertainties together is a tie") {
  // Root sum of squares of 0.3 and 0.4 is 0.5 (JCGM 100:2008, 5.1.2, independent quantities).
  const std::vector<ReportInput> inside = {run_with("a", 9.0, 0.3), run_with("b", 8.51, 0.4)};
  CHECK(comparison_rows(inside)[1].tie);
  CHECK(comparison_rows(inside)[1].rank == 1);
  const std::vector<ReportInput> outside = {run_with("a", 9.0, 0.3), run_with("b", 8.49, 0.4)};
  CHECK_FALSE(comparison_rows(outside)[1].tie);
  CHECK(comparison_rows(outside)[1].rank == 2);
}

TEST_CASE("a minimum is a tie with a measured end as far as its pack's charge goes") {
  const auto usable_on_qro = [](ReportInput input, double usable_ah, bool is_minimum) {
    analysis::Rating rating;
    rating.radio_class = analysis::RadioClass::qro;
    rating.usable_capacity_ah = usable_ah;
    rating.usable_is_minimum = is_minimum;
    input.figures.ratings = {rating};
    return input;
  };
  const auto a = run_with("a", 9.0, 0.02), b = run_with("b", 9.5, 0.02);
  CHECK(comparison_rows({usable_on_qro(a, 8.0, false), usable_on_qro(b, 6.0, true)})[1].tie);
  const auto worn = run_with("worn", 7.0, 0.02);  // could not have gone on to 8 Ah
  CHECK_FALSE(
      comparison_rows({usable_on_qro(a, 8.0, false), usable_on_qro(worn, 6.0, true)})[1].tie);
  CHECK_FALSE(comparison_rows({usable_on_qro(a, 8.0, true), usable_on_qro(b, 6.0, false)})[1].tie);
  CHECK_FALSE(comparison_rows({usable_on_qro(a, 8.0, true), usable_on_qro(b, 6.0, true)})[1].tie);
  const auto document = nlohmann::json::parse(comparison_json({usable_on_qro(a, 8.0, true), b}));
  CHECK(document[0]["QRO"]["usable_capacity_is_minimum"] == true);
}

TEST_CASE("unlike conditions are named, like ones are not") {
  std::vector<ReportInput> inputs = {run_with("a", 9.0, 0.3), run_with("b", 8.5, 0.4)};
  CHECK(unlike_conditions(inputs).empty());
  auto capacity = *inputs[1].figures.capacity;
  capacity.rate_it = 1.0;
  capacity.temperature_c = 5.0;
  capacity.to_voltage_v = 12.1;  // reached, not asked for: no condition
  inputs[1].figures.capacity = capacity;
  inputs[1].recording.pack.end_of_discharge_v = 11.0;
  const auto lines = unlike_conditions(inputs);
  REQUIRE(lines.size() == 3);
  CHECK(lines[0].find("0.2 to 1") != std::string::npos);
  CHECK(lines[1].find("5 to 23") != std::string::npos);
  CHECK(lines[2].find("2.5 to 2.75") != std::string::npos);
}

TEST_CASE("a discharge that a weak cell ended says so") {
  std::vector<ReportInput> inputs = {run_with("sound", 9.0, 0.3), run_with("weak", 7.0, 0.4)};
  CHECK(early_ends(inputs).empty());
  auto capacity = *inputs[1].figures.capacity;
  capacity.ended_by = analysis::StepEnd::cell_end_of_discharge;
  inputs[1].figures.capacity = capacity;
  REQUIRE(early_ends(inputs).size() == 1);
  CHECK(early_ends(inputs)[0].find("weak") == 0);
}

ReportInput at_current(double current_a, double charge_ah) {
  ReportInput input = run_with("rated", charge_ah, 0.02);
  auto capacity = *input.figures.capacity;
  capacity.mean_current_a = current_a;
  input.figures.capacity = capacity;
  return input;
}

// W. Peukert's law, worked outside this program: 100 Ah at 20 h with k = 1.2 are 87.05506 Ah at
// 10 A and 75.78584 Ah at 20 A.
TEST_CASE("runs of one pack at several currents tell its exponent, and the capacity between them") {
  std::vector<ReportInput> inputs = {at_current(5.0, 100.0), at_current(20.0, 75.78584),
                                     run_with("another", 9.0, 0.3)};
  for (ReportInput& input : inputs) {
    for (const double mean_a : {10.0, 40.0}) {
      OperationHours asked;
      asked.operation.name = "field day";
      asked.endurance.mean_current_a = mean_a;
      input.operations.push_back(asked);
    }
  }
  const auto list = nlohmann::json::parse(comparison_json(inputs));
  const auto& peukert = list[0].at("peukert");
  CHECK(peukert.at("value_1").get<double>() == Approx(1.2).epsilon(1e-4));
  CHECK(peukert.at("runs") == 2);
  CHECK(peukert.at("at_mean_current")[0].at("capacity").at("value_Ah").get<double>() ==
        Approx(87.055).epsilon(1e-4));
  CHECK(peukert.at("at_mean_current")[1].at("capacity").is_null());
  CHECK(list[2].at("peukert").is_null());
  CHECK(list[2].at("peukert_why") == "it takes two or more whole discharges of the pack");
  const auto sentences = rate_sentences(inputs);
  REQUIRE(sentences.size() == 1);
  CHECK(sentences[0].find("rated: Peukert exponent 1.2000") == 0);
  CHECK(sentences[0].find("outside the 5.00 to 20.00 A") != std::string::npos);
}

TEST_CASE("the JSON has a row a run in the report's order, null with a why for what is missing") {
  const std::vector<ReportInput> inputs = {fixture::aborted_run(), run_with("big\xFF", 9.0, 0.02)};
  const auto list = nlohmann::json::parse(comparison_json(inputs));
  REQUIRE(list.size() == 2);
  CHECK(list[0]["rank"] == 1);
  CHECK(list[0]["capacity"]["value_Ah"] == 9.0);
  CHECK(list[0]["capacity"]["expanded_uncertainty_Ah"] == 0.02);
  CHECK(list[1]["capacity"].is_null());
  CHECK(list[1]["capacity_why"] == inputs[0].figures.capacity.why());
  CHECK(list[1]["QRO"].is_null());
}

}  // namespace
}  // namespace sagbench::reports
