// Order, ties and honesty of the comparison.
#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <span>
#include <string>
#include <vector>

#include "analysis/endurance.hpp"
#include "catch.hpp"
#include "report_fixture.hpp"
#include "reports/comparison_report.hpp"
#include "reports/comparison_rows.hpp"
#include "reports/comparison_table.hpp"
#include "reports/pack_rates.hpp"

namespace sagbench::reports {
namespace {

RunDigest run_with(const std::string& name, double capacity_ah, double expanded_uncertainty_ah) {
  return digest_of(fixture::run_with(name, capacity_ah, expanded_uncertainty_ah));
}

/// The same with what a test of a radio found usable, known as well as the capacity.
RunDigest usable_on_qro(RunDigest run, double usable_ah, bool is_minimum) {
  DigestRating rating;
  rating.radio_class = analysis::RadioClass::qro;
  rating.usable_ah =
      analysis::Measured{usable_ah, run.capacity->charge_ah.expanded_uncertainty, 2.0};
  rating.usable_is_minimum = is_minimum;
  run.ratings = {rating};
  return run;
}

std::vector<std::string> names(const Comparison& comparison) {
  std::vector<std::string> names;
  for (const ComparisonRow* row : rows_of(comparison)) names.push_back(row->run->pack.name);
  return names;
}

/// Rank and tie of each row: "1 1= 3".
std::string ranks(const Comparison& comparison) {
  std::string text;
  for (const ComparisonRow* row : rows_of(comparison))
    text += (text.empty() ? "" : " ") + (row->rank ? std::to_string(*row->rank) : "-") +
            (row->tie ? "=" : "");
  return text;
}

std::string ranks(const std::vector<RunDigest>& runs) {
  return ranks(compared(runs, std::nullopt));
}

using Names = std::vector<std::string>;

TEST_CASE("a run that has no radio of a class says so") {
  const RunDigest run = usable_on_qro(run_with("pack", 9.0, 0.02), 8.0, false);
  CHECK(sort_figure(run, SortBy::usable_qro).value);
  CHECK(sort_figure(run, SortBy::usable_qrp).value.why() == "no such radio was rated");
}

TEST_CASE("the greater capacity comes first, whatever the order given") {
  CHECK(names(compared({run_with("small", 5.0, 0.02), run_with("big", 9.0, 0.02)}, {})) ==
        Names{"big", "small"});
}

TEST_CASE("without a choice the charge usable on a QRO radio counts, and who lacks it comes last") {
  auto usable = digest_of(fixture::whole_run());
  usable.pack.name = "usable";
  const std::vector<RunDigest> runs = {digest_of(fixture::empty_run()), run_with("big", 50.0, 0.02),
                                       usable};
  const Comparison comparison = compared(runs, std::nullopt);
  CHECK(comparison.by == SortBy::usable_qro);
  CHECK(names(comparison) == Names{"usable", "big", "Field day pack A"});
  CHECK(ranks(comparison) == "- - -");  // one alone, two without it
  CHECK_FALSE(comparison.without[0].why.empty());
}

TEST_CASE("a difference within both expanded uncertainties together is a tie") {
  // Root sum of squares of 0.3 and 0.4 is 0.5 (JCGM 100:2008, 5.1.2, independent quantities).
  CHECK(ranks({run_with("a", 9.0, 0.3), run_with("b", 8.51, 0.4)}) == "1 1=");
  CHECK(ranks({run_with("a", 9.0, 0.3), run_with("b", 8.49, 0.4)}) == "1 2");
}

TEST_CASE("every two runs of a tie tie, though neighbours do so further down the list") {
  // Each differs by 0.4 from the next and by 0.8 from the one after that; 0.5 says nothing.
  const double u = 0.5 / std::sqrt(2.0);
  CHECK(ranks({run_with("a", 9.0, u), run_with("b", 8.6, u), run_with("c", 8.2, u),
               run_with("d", 7.8, u)}) == "1 1= 3 3=");
  // The best is so uncertain that it ties with both others, but these differ from each other.
  CHECK(ranks({run_with("vague", 9.0, 2.0), run_with("b", 8.6, 0.02), run_with("c", 8.2, 0.02)}) ==
        "1 1= 3");
}

TEST_CASE("a minimum is a tie with a measured end as far as its pack's charge goes") {
  const auto a = run_with("a", 9.0, 0.02), b = run_with("b", 9.5, 0.02);
  CHECK(ranks({usable_on_qro(a, 8.0, false), usable_on_qro(b, 6.0, true)}) == "1 1=");
  const auto worn = run_with("worn", 7.0, 0.02);  // could not have gone on to 8 Ah
  CHECK(ranks({usable_on_qro(a, 8.0, false), usable_on_qro(worn, 6.0, true)}) == "1 2");
  CHECK(ranks({usable_on_qro(a, 8.0, true), usable_on_qro(b, 6.0, false)}) == "1 2");
  CHECK(ranks({usable_on_qro(a, 8.0, true), usable_on_qro(b, 6.0, true)}) == "1 2");
  const auto document =
      nlohmann::json::parse(comparison_json({{usable_on_qro(a, 8.0, true), b}, {}}));
  CHECK(document[0]["QRO"]["usable_capacity_is_minimum"] == true);
}

RunDigest at_rate(RunDigest run, double rate_it, double temperature_c) {
  analysis::Capacity capacity = *run.capacity;
  capacity.rate_it = rate_it;
  capacity.temperature_c = temperature_c;
  run.capacity = capacity;
  return run;
}

TEST_CASE("like is compared with like: ranks begin anew in each group, and who is alone has none") {
  const std::vector<RunDigest> runs = {run_with("slow 1", 9.0, 0.02),
                                       at_rate(run_with("cold", 5.0, 0.02), 0.2, 0.0),
                                       at_rate(run_with("fast 1", 8.0, 0.02), 1.0, 23.0),
                                       run_with("slow 2", 9.5, 0.02),
                                       run_with("slow 3", 8.0, 0.02),
                                       at_rate(run_with("fast 2", 7.0, 0.02), 1.0, 23.0)};
  const Comparison comparison = compared(runs, SortBy::capacity);
  CHECK(names(comparison) == Names{"slow 2", "slow 1", "slow 3", "fast 1", "fast 2", "cold"});
  CHECK(ranks(comparison) == "1 2 3 1 2 -");
  CHECK(comparison.groups[1].conditions.find("1 It") == 0);
  CHECK(comparison.alone[0].why.find("0 \xC2\xB0"
                                     "C") != std::string::npos);
  const auto list = nlohmann::json::parse(comparison_json({runs, SortBy::capacity}));
  CHECK(list[3]["group"] == 2);
  CHECK(list[5]["group"].is_null());
  CHECK(list[5]["rank"].is_null());
  CHECK(list[5]["rank_why"].get<std::string>().find("alike with no other") == 0);
}

TEST_CASE("conditions that do not change the figure keep nobody apart") {
  auto slow = run_with("slow", 9.0, 0.02), fast = at_rate(run_with("fast", 8.0, 0.02), 1.0, 0.0);
  slow.pack.built = "2020-01-01";
  fast.pack.built = "2024-01-01";
  const std::vector<RunDigest> runs = {slow, fast};
  const Comparison by_age = compared(runs, SortBy::age);
  CHECK(names(by_age) == Names{"fast", "slow"});
  CHECK(ranks(by_age) == "1 2");
}

TEST_CASE("an age takes two dates, and in their order") {
  RunDigest run;
  run.dated = true;
  CHECK(age_years(run).why() == "the pack file does not say when it was built");
  run.pack.built = "2025-05-01";
  CHECK(age_years(run).why() == "the date of the test is not recorded");
  run.utc = "2025-04-30T10:00:00Z";
  CHECK(age_years(run).why() == "the test is dated before the pack was built");
  run.utc = "2026-05-01T10:00:00Z";
  CHECK(age_years(run));
  run.dated = false;
  CHECK(age_years(run).why() == "its date is that of its import");
}

TEST_CASE("each figure sorts the better way round") {
  auto light = run_with("light", 9.0, 0.02), cheap = run_with("cheap", 9.0, 0.02);
  light.pack.mass_kg = 1.0;
  cheap.pack.mass_kg = 2.0;
  light.pack.price = analysis::Price{200.0, "EUR"};
  cheap.pack.price = analysis::Price{100.0, "EUR"};
  light.dc_resistance = analysis::Resistance{{0.03, 0.001, 2.0}, "IEC 61960-3", 0.95};
  cheap.dc_resistance = analysis::Resistance{{0.05, 0.001, 2.0}, "IEC 61960-3", 0.95};
  const std::vector<RunDigest> runs = {cheap, light};
  CHECK(names(compared(runs, SortBy::energy_per_kg)) == Names{"light", "cheap"});
  CHECK(names(compared(runs, SortBy::capacity_per_price)) == Names{"cheap", "light"});
  CHECK(names(compared(runs, SortBy::resistance)) == Names{"light", "cheap"});
  CHECK(capacity_per_price_mah(cheap)->value == Approx(90.0));
}

TEST_CASE("prices in different currencies are not compared") {
  auto here = run_with("here", 9.0, 0.02), there = run_with("there", 9.0, 0.02);
  here.pack.price = analysis::Price{100.0, "EUR"};
  there.pack.price = analysis::Price{100.0, "SEK"};
  const std::vector<RunDigest> runs = {here, there};
  const Comparison comparison = compared(runs, SortBy::capacity_per_price);
  CHECK(comparison.groups.empty());
  CHECK(ranks(comparison) == "- -");
}

TEST_CASE("what is missing is said once a reason, with the rows it concerns") {
  auto a = run_with("a", 9.0, 0.3), b = run_with("b", 8.5, 0.4);
  a.pack.price.reset();
  b.pack.price.reset();
  const std::vector<RunDigest> runs = {a, b};
  const Comparison comparison = compared(runs, SortBy::capacity);
  CHECK(missing_words(rows_of(comparison))
            .find("No capacity per price of No. 1, 2: the pack file states no price.") !=
        std::string::npos);
}

TEST_CASE("the names of --sort are those of the figures") {
  REQUIRE(sort_names().size() == 7);
  for (const auto name : sort_names()) CHECK(words_on(*sort_by_from(name)).name == name);
  CHECK_FALSE(sort_by_from("weight"));
}

TEST_CASE("discharges that a weak cell ended are named, all in one sentence") {
  std::vector<RunDigest> runs = {run_with("sound", 9.0, 0.3), run_with("weak", 7.0, 0.4),
                                 run_with("frail", 6.0, 0.4)};
  const auto told = [&runs] {
    const Comparison comparison = compared(runs, SortBy::capacity);
    return early_ends(rows_of(comparison));
  };
  CHECK(told().empty());
  for (RunDigest& run : std::span(runs).subspan(1)) {
    auto capacity = *run.capacity;
    capacity.ended_by = analysis::StepEnd::cell_end_of_discharge;
    run.capacity = capacity;
  }
  CHECK(told() == "No. 2, 3: the discharge ended early, its weakest cell was empty.");
}

TEST_CASE("a radio that was not tested is a dash, and why is said once") {
  auto untested = run_with("untested", 9.0, 0.3);
  DigestRating rating;
  rating.radio_class = analysis::RadioClass::qrp;
  rating.because = "The plan has no QRP radio.";
  rating.usable_ah = analysis::Finding<analysis::Measured>::missing(rating.because);
  untested.ratings = {rating};
  const std::vector<RunDigest> runs = {untested, untested};
  const Comparison comparison = compared(runs, SortBy::capacity);
  const Table table = comparison_table(comparison.groups.at(0).rows, SortBy::capacity);
  const auto qrp = std::ranges::find(table.columns, "On QRP (Ah)", &TableColumn::title);
  REQUIRE(qrp != table.columns.end());
  CHECK(table.rows[0].at(static_cast<std::size_t>(qrp - table.columns.begin())) == "\xE2\x80\x93");
  CHECK(missing_words(rows_of(comparison))
            .find("No QRP rating of No. 1, 2: the plan has no QRP radio.") != std::string::npos);
}

RunDigest at_current(double current_a, double charge_ah) {
  RunDigest run = run_with("rated", charge_ah, 0.02);
  auto capacity = *run.capacity;
  capacity.mean_current_a = current_a;
  run.capacity = capacity;
  return run;
}

/// A radio that draws this all the time.
analysis::Operation steady(double current_a) {
  analysis::Operation operation;
  operation.name = "field day";
  operation.mode = analysis::Mode::fm;
  operation.transmit_share = 0.5;
  operation.hours = 6.0;
  operation.radio.receive_a = operation.radio.transmit_peak_a = current_a;
  operation.radio.transmit_idle_a = current_a;
  return operation;
}

// W. Peukert's law, worked outside this program: 100 Ah at 20 h with k = 1.2 are 87.05506 Ah at
// 10 A and 75.78584 Ah at 20 A.
TEST_CASE("runs of one pack at several currents tell its exponent, and the capacity between them") {
  const ComparisonRequest request{
      {at_current(5.0, 100.0), at_current(20.0, 75.78584), run_with("another", 9.0, 0.3)},
      SortBy::capacity,
      {steady(10.0), steady(40.0)}};
  const auto list = nlohmann::json::parse(comparison_json(request));
  const auto& peukert = list[0].at("peukert");
  CHECK(peukert.at("value_1").get<double>() == Approx(1.2).epsilon(1e-4));
  CHECK(peukert.at("runs") == 2);
  CHECK(peukert.at("at_mean_current")[0].at("capacity").at("value_Ah").get<double>() ==
        Approx(87.055).epsilon(1e-4));
  CHECK(peukert.at("at_mean_current")[1].at("capacity").is_null());
  CHECK(list[2].at("peukert").is_null());
  CHECK(list[2].at("peukert_why") == "it takes two or more whole discharges of the pack");
  const auto sentences = rate_sentences(request);
  REQUIRE(sentences.size() == 1);
  CHECK(sentences[0].find("rated: Peukert exponent 1.2000") == 0);
  CHECK(sentences[0].find("outside the 5.00 to 20.00 A") != std::string::npos);
}

TEST_CASE("the JSON has a row a run in the report's order, null with a why for what is missing") {
  const auto aborted = digest_of(fixture::aborted_run());
  const std::vector<RunDigest> runs = {aborted, run_with("big\xFF", 9.0, 0.02),
                                       run_with("small", 8.0, 0.02)};
  const auto list = nlohmann::json::parse(comparison_json({runs, {}}));
  REQUIRE(list.size() == 3);
  CHECK(list[0]["rank"] == 1);
  CHECK(list[0]["capacity"]["value_Ah"] == 9.0);
  CHECK(list[0]["capacity"]["expanded_uncertainty_Ah"] == 0.02);
  CHECK(list[2]["capacity"].is_null());
  CHECK(list[2]["capacity_why"] == aborted.capacity.why());
  CHECK(list[2]["QRO"].is_null());
}

}  // namespace
}  // namespace sagbench::reports
