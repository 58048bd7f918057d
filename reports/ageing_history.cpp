#include "reports/ageing_history.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <utility>

#include "reports/comparison_sort.hpp"
#include "reports/hours_figure.hpp"
#include "reports/iso_date.hpp"
#include "reports/number_text.hpp"

namespace sagbench::reports {
namespace {

using analysis::Finding;
using analysis::Measured;

constexpr std::array kFollowed = {
    std::pair{SortBy::capacity, "Capacity"}, std::pair{SortBy::resistance, "D.c. resistance"},
    std::pair{SortBy::usable_qrp, "Usable on QRP"}, std::pair{SortBy::usable_qro, "Usable on QRO"}};

/// Days from midnight of `first`; 0 for a stamp that is no time.
double day_of(const std::string& utc, const IsoDate& first) {
  const auto time = iso_time(utc);
  if (!time) return 0.0;
  constexpr double kHour = 1.0 / 24.0, kMinute = kHour / 60.0, kSecond = kMinute / 60.0;
  return static_cast<double>(days_between(first, time->date)) + time->hour * kHour +
         time->minute * kMinute + time->second * kSecond;
}

/// Runs of the other kind than the newest go.
void keep_one_world(std::vector<RunDigest>& runs, std::vector<std::string>& cautions) {
  const bool simulated = runs.back().simulated;
  const auto gone =
      std::erase_if(runs, [&](const RunDigest& run) { return run.simulated != simulated; });
  if (gone > 0)
    cautions.push_back(fmt::format("{} {} run{} of this pack {} left out: the newest is {}.", gone,
                                   simulated ? "measured" : "simulated", gone == 1 ? "" : "s",
                                   gone == 1 ? "is" : "are", simulated ? "simulated" : "measured"));
  if (simulated)
    cautions.emplace_back("The pack is simulated: the virtual bench stood in for instruments.");
}

std::vector<AgeingTest> tests_of(std::vector<RunDigest> runs) {
  const IsoDate first = iso_date(runs.front().utc).value_or(IsoDate{1970, 1, 1});
  std::vector<AgeingTest> tests;
  double drawn_ah = 0.0;
  for (RunDigest& run : runs) {
    const double day = day_of(run.utc, first), use = drawn_ah / run.pack.rated_capacity_ah;
    drawn_ah += run.discharged_ah;
    tests.push_back({std::move(run), day, use});
  }
  return tests;
}

/// Empty where the series may take the figure.
std::string objection(const RunDigest& run, const SortFigure& figure) {
  if (!figure.value) return figure.value.why();
  if (!run.dated) return "its date is that of its import";
  if (figure.is_minimum) return "only a minimum: no test found where the radio leaves the air";
  return {};
}

/// Of a figure that each of the tests tells or not.
AgeingSeries series_of(const std::vector<AgeingTest>& tests, const std::vector<SortFigure>& figures,
                       std::string name, std::string_view unit) {
  AgeingSeries series;
  series.name = std::move(name);
  series.unit = unit;
  std::vector<std::size_t> candidates;
  std::vector<analysis::Conditions> conditions;
  for (std::size_t i = 0; i < tests.size(); ++i) {
    if (auto why = objection(tests[i].run, figures[i]); !why.empty()) {
      series.left_out.push_back({i, std::move(why)});
      continue;
    }
    candidates.push_back(i);
    conditions.push_back(figures[i].conditions);
  }
  const auto groups = analysis::alike_groups(conditions);
  if (groups.empty()) {
    const std::string why = tests.empty() ? "there is no test" : series.left_out.back().why;
    series.by_day = series.by_use = Finding<analysis::Trend>::missing(why);
    return series;
  }
  std::vector<analysis::Conditions> shared;
  for (const std::size_t i : groups.front()) {
    const AgeingTest& test = tests[candidates[i]];
    const Measured& value = *figures[candidates[i]].value;
    series.tests.push_back(candidates[i]);
    series.over_days.push_back({test.day, value});
    series.over_use.push_back({test.use, value});
    shared.push_back(conditions[i]);
  }
  series.conditions = analysis::words_on(shared);
  for (auto group = groups.begin() + 1; group != groups.end(); ++group)
    for (const std::size_t i : *group)
      series.left_out.push_back(
          {candidates[i], analysis::unlike_words(conditions[i], shared.back())});
  std::ranges::sort(series.left_out, {}, &LeftOut::test);
  series.by_day = analysis::trend(series.over_days);
  series.by_use = analysis::trend(series.over_use);
  return series;
}

AgeingSeries series_of(const std::vector<AgeingTest>& tests, SortBy by, const char* name) {
  std::vector<SortFigure> figures(tests.size());
  std::ranges::transform(tests, figures.begin(),
                         [&](const AgeingTest& test) { return sort_figure(test.run, by); });
  return series_of(tests, figures, name, words_on(by).unit);
}

OperationSeries series_of(const std::vector<AgeingTest>& tests, const OperationAnswers& asked) {
  OperationSeries series{asked.operation, {}, {}};
  std::vector<SortFigure> figures;
  for (const AgeingTest& test : tests) {
    const analysis::Endurance& answer = asked.by_run.at(test.run.run_id);
    figures.push_back(hours_figure(test.run, asked.operation, answer));
    series.answers.push_back(answer);
  }
  series.hours = series_of(tests, figures, "Endurance for " + asked.operation.name, "h");
  return series;
}

void look_ahead(AgeingHistory& history) {
  const AgeingSeries& capacity = history.capacity();
  history.worn = analysis::worn_date(capacity.by_day, history.pack.rated_capacity_ah);
  if (capacity.over_days.empty())
    history.next = Finding<analysis::NextTest>::missing(
        "no test measured the capacity on a known date: test it now");
  else
    history.next =
        analysis::next_test(capacity.by_day, capacity.over_days.back(), history.worn.level_ah);
}

void note_changes(AgeingHistory& history) {
  const auto rated = [](const AgeingTest& test) { return test.run.pack.rated_capacity_ah; };
  const auto [least, most] = std::ranges::minmax(history.tests, {}, rated);
  if (rated(least) < rated(most))
    history.cautions.push_back(
        fmt::format("The pack files give it different rated capacities, {} to {} Ah; the newest "
                    "counts.",
                    number_text(rated(least)), number_text(rated(most))));
}

}  // namespace

Finding<Measured> AgeingSeries::change() const {
  if (over_days.size() < 2) return Finding<Measured>::missing("it takes two tests that are alike");
  const Measured &first = over_days.front().y, &last = over_days.back().y;
  return Measured{last.value - first.value,
                  std::hypot(first.expanded_uncertainty, last.expanded_uncertainty), 2.0};
}

std::string AgeingHistory::date_of(double day) const {
  const IsoDate first = iso_date(tests.front().run.utc).value_or(IsoDate{1970, 1, 1});
  return iso_text(days_later(first, std::lround(std::floor(day))));
}

std::vector<const AgeingSeries*> AgeingHistory::all_series() const {
  std::vector<const AgeingSeries*> all;
  for (const AgeingSeries& one : series) all.push_back(&one);
  for (const OperationSeries& operation : operations) all.push_back(&operation.hours);
  return all;
}

AgeingHistory ageing_history(std::vector<RunDigest> runs,
                             const std::vector<OperationAnswers>& operations) {
  std::ranges::stable_sort(runs, {}, &RunDigest::utc);
  AgeingHistory history;
  keep_one_world(runs, history.cautions);
  history.pack = runs.back().pack;
  history.tests = tests_of(std::move(runs));
  for (const auto& [by, name] : kFollowed)
    history.series.push_back(series_of(history.tests, by, name));
  for (const OperationAnswers& asked : operations)
    history.operations.push_back(series_of(history.tests, asked));
  look_ahead(history);
  note_changes(history);
  return history;
}

}  // namespace sagbench::reports
