#pragma once
// What all report pages share: the frame, headings, foot, and the words for a pack and a run.

#include <string>

#include "reports/pdf_document.hpp"
#include "reports/table.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// The part of a page that is written on; the foot lies below it.
Rect content_area(const Canvas& canvas);
/// Headings that other pages refer to.
inline constexpr const char* kAllFigures = "All figures";
inline constexpr const char* kChargeBudget = "Where the uncertainty comes from: charge";
inline constexpr const char* kRadioInTheLoop = "The radio in the loop";
inline constexpr const char* kVerdictFacts = "What the verdicts rest on";
inline constexpr const char* kAllCautions = "All cautions of this run";

/// What a heading takes.
inline constexpr double kHeadingHeight = 3 * kGrid;
/// A ruled heading that the outline names; returns where its text begins.
double draw_heading(Canvas& canvas, Point top_left, double width, const std::string& text,
                    MarkLevel level = MarkLevel::part);
/// In the line of a heading at `top_left`: on which page is more of it, where `title` is.
void refer_from_heading(Canvas& canvas, Point top_left, double width, const std::string& title);
/// Page numbers, run id and software at the foot of every page. Once, when all pages are there.
void draw_feet(PdfDocument& document, const std::string& left);

/// "4S1P LFP, 10 Ah rated, 12.8 V nominal".
std::string pack_words(const analysis::Pack& pack);
/// "2026-03-01 10:15 UTC", or "date not recorded".
std::string date_words(const std::string& utc);
/// "tested at the age of 10 months", or why the age is not known.
std::string age_words(const analysis::Pack& pack, const std::string& utc);
/// "23 °C" or "temperature not measured".
std::string temperature_words(const std::optional<double>& temperature_c);
/// True when the samples were measured elsewhere.
bool is_imported(const analysis::Recording& recording);
/// True when a virtual instrument (port "virtual" in the bench file) took part.
bool is_simulated(const ReportInput& input);

}  // namespace sagbench::reports
