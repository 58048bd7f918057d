#pragma once
// PDF reports. Written to a neighbouring temporary file and renamed, so a failure leaves no
// half-written PDF.

#include <stdexcept>
#include <string>
#include <vector>

#include "analysis/endurance.hpp"
#include "analysis/figures.hpp"
#include "analysis/recording.hpp"
#include "reports/report_options.hpp"
#include "reports/run_record.hpp"

namespace sagbench::reports {

class ReportError : public std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// An operation the owner asked about, with its answer.
struct OperationHours {
  analysis::Operation operation;
  analysis::Endurance endurance;
};

struct ReportInput {
  RunRecord record;  // samples may be moved out into `recording`
  analysis::Recording recording;
  analysis::Figures figures;
  std::vector<OperationHours> operations;
  std::string photo_data{};  // bytes of the record's newest photo; empty where it has none
};

/// Verdicts first, then the evidence. Same input, same bytes. Throws
/// ReportError naming the path.
void write_test_report(const ReportInput& input, const std::string& path,
                       const ReportOptions& options = {});
/// The same bytes, for whoever wants no file. Throws ReportError.
std::string test_report_pdf(const ReportInput& input, const ReportOptions& options = {});

}  // namespace sagbench::reports
