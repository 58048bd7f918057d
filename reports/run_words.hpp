#pragma once
// A run's plan, bench and end in words.

#include <string>

#include "reports/run_record.hpp"
#include "reports/table.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// What a step was asked to do: "0.2 It (2 A)", "5, 10, 20 A at 90, 50, 20 % charge".
std::string asked_words(const analysis::Step& step);
Table steps_table(const analysis::Recording& recording);
/// How the run ended, in one or two sentences.
std::string end_words(const RunRecord& record);
/// "end of discharge": a step's end for people.
std::string step_end_words(analysis::StepEnd end);
/// "0.05 % of reading + 0.02 % of range (20 V)".
std::string accuracy_words(const analysis::AccuracyTerm& term, const std::string& unit);

}  // namespace sagbench::reports
