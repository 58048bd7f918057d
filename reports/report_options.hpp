#pragma once
// How a report is to be laid out and written.

namespace sagbench::reports {

/// Upright sheets.
enum class Paper { a4, letter };

struct ReportOptions {
  Paper paper = Paper::a4;
  char decimal_sign = '.';  // or ','
  bool attachments = true;  // the run itself, inside the PDF
};

}  // namespace sagbench::reports
