#include "reports/run_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "reports/number_text.hpp"

namespace sagbench::reports {
namespace {

std::string listed(const std::vector<double>& values, double factor) {
  std::string text;
  for (const double value : values) {
    if (!text.empty()) text += ", ";
    text += number_text(value * factor);
  }
  return text;
}

// Reasons are clauses: a capital and a full stop make them sentences.
std::string sentence(std::string_view clause) {
  const char first = clause.front();
  const bool small = first >= 'a' && first <= 'z';
  const char* stop = clause.ends_with('.') ? "" : ".";
  return fmt::format("{}{}{}", small ? static_cast<char>(first - 'a' + 'A') : first,
                     clause.substr(1), stop);
}

std::string_view end_name(RunEnd end) {
  switch (end) {
    case RunEnd::done:
      return "The run ended as planned.";
    case RunEnd::defect:
      return "A defect of the program ended the run.";
    case RunEnd::user_fault:
      return "The run ended because its input was at fault.";
    case RunEnd::safety:
      return "A safety limit ended the run.";
    case RunEnd::instrument:
      return "An instrument, or the line to it, failed and ended the run.";
    case RunEnd::operator_stop:
      return "The operator stopped the run.";
    case RunEnd::interrupted:
      return "The program or the computer died during the run.";
    case RunEnd::running:
      return "No end is on record: the program was still running or died.";
  }
  return "";
}

}  // namespace

std::string asked_words(const analysis::Step& step) {
  if (step.kind == analysis::StepKind::peak_current) {
    return fmt::format(
        "{}\xC2\xA0"
        "A at {}\xC2\xA0% charge",
        listed(step.currents_a, 1.0), listed(step.at_charge, 100.0));
  }
  if (step.radio) {
    std::string text = step.radio->name;
    if (step.mode) text += fmt::format(", {}", name_of(*step.mode));
    if (step.transmit_share) text += ", " + percent_text(*step.transmit_share) + " transmit";
    return text;
  }
  return step.current_a ? quantity_text(*step.current_a, "A") : "";
}

Table steps_table(const analysis::Recording& recording) {
  Table table{{{"Step", 1.0}, {"Asked", 2.2}, {"Took", 0.8}, {"Ended", 2.4}},
              {},
              {6.8, Weight::regular, kInk},
              3};
  for (std::size_t i = 0; i < recording.steps.size(); ++i) {
    const auto& step = recording.steps[i];
    std::string end = step_end_words(step.end);
    if (!step.why.empty()) end += ": " + as_printed(step.why);
    table.rows.push_back({fmt::format("{} {}", i + 1, name_of(step.kind)), asked_words(step),
                          duration_text(step.end_s - step.start_s), end});
  }
  return table;
}

std::string step_end_words(analysis::StepEnd end) {
  std::string words{name_of(end)};
  std::replace(words.begin(), words.end(), '_', ' ');
  return words;
}

std::string end_words(const RunRecord& record) {
  const std::string& reason = record.closing.reason;
  // The operator's own words say already who stopped it.
  if (record.closing.end == RunEnd::operator_stop && !reason.empty()) return sentence(reason);
  std::string text{end_name(record.closing.end)};
  if (!reason.empty()) text.append(1, ' ').append(sentence(reason));
  return text;
}

std::string accuracy_words(const analysis::AccuracyTerm& term, const std::string& unit) {
  return fmt::format("{}\xC2\xA0% of reading + {}\xC2\xA0% of range ({})",
                     number_text(term.of_reading * 100.0), number_text(term.of_range * 100.0),
                     quantity_text(term.range, unit));
}

}  // namespace sagbench::reports
