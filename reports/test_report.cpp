#include "reports/test_report.hpp"

#include <fmt/format.h>

#include <functional>
#include <utility>

#include "reports/atomic_file.hpp"
#include "reports/budget_page.hpp"
#include "reports/circuit_page.hpp"
#include "reports/details_page.hpp"
#include "reports/evidence_page.hpp"
#include "reports/number_text.hpp"
#include "reports/operator_page.hpp"
#include "reports/over_page.hpp"
#include "reports/photo_part.hpp"
#include "reports/report_attachments.hpp"
#include "reports/report_page.hpp"
#include "reports/report_pages.hpp"
#include "reports/run_folder.hpp"

namespace sagbench::reports {

namespace {

std::vector<Attachment> attachments_of_run(const ReportInput& input) {
  std::vector<Attachment> attachments;
  // What another archive would not take in is not handed out.
  if (input.record.closing.end == RunEnd::running) return attachments;
  const std::vector<RunFile> files = run_files(input.record, input.recording.samples);
  attachments.reserve(files.size());
  for (const RunFile& file : files) attachments.push_back(attachment_of(file));
  return attachments;
}

/// For the foot of each page: which run, and enough of its hash to tell it from an altered one.
std::string run_words(const ReportInput& input) {
  constexpr std::size_t kDigits = 16;
  const std::string hash = input.record.seal.sha256.empty()
                               ? "not sealed"
                               : "sha256 " + input.record.seal.sha256.substr(0, kDigits);
  return fmt::format("run {} \xC2\xB7 {} \xC2\xB7 {}", input.record.id, hash,
                     date_words(input.record.header.utc));
}

}  // namespace

void draw_test_report(PdfDocument& document, const ReportInput& input,
                      std::future<std::vector<Attachment>> attachments) {
  const OperatorPage first = draw_operator_page(document, input);
  const bool more_evidence = !input.recording.samples.empty() && !first.run_drawn;
  if (more_evidence) draw_evidence_page(document, input);
  draw_pack_evidence(document, input, !first.peaks_drawn);
  if (const auto over = over_pictures(input.recording))
    draw_over_page(document, *over, input.figures.on_air);
  if (input.figures.charge_circuit) draw_circuit_page(document, input);
  draw_budget_page(document, input.figures);
  std::vector<Attachment> files;
  if (attachments.valid()) files = attachments.get();
  draw_details_page(document, input, !first.cautions_complete, files);
  draw_photo_part(document, input);
  draw_feet(document, run_words(input));
  document.draw_references();
  document.attach(std::move(files));
}

std::future<std::vector<Attachment>> start_attachments(const ReportInput& input) {
  return std::async(std::launch::async, attachments_of_run, std::cref(input));
}

void draw_test_report(PdfDocument& document, const ReportInput& input) {
  draw_test_report(document, input, start_attachments(input));
}

namespace {

std::string pdf_of(const ReportInput& input, std::future<std::vector<Attachment>> attachments,
                   const ReportOptions& options) {
  const DecimalSign sign(options.decimal_sign);
  PdfDocument document("Battery test: " + input.recording.pack.name, input.record.header.utc,
                       options.paper);
  draw_test_report(document, input, std::move(attachments));
  return document.bytes();
}

}  // namespace

void write_test_report(const ReportInput& input, std::future<std::vector<Attachment>> attachments,
                       const std::string& path, const ReportOptions& options) {
  write_file_whole(path, pdf_of(input, std::move(attachments), options));
}

void write_test_report(const ReportInput& input, const std::string& path,
                       const ReportOptions& options) {
  write_file_whole(path, test_report_pdf(input, options));
}

std::string test_report_pdf(const ReportInput& input, const ReportOptions& options) {
  std::future<std::vector<Attachment>> attachments;
  if (options.attachments) attachments = start_attachments(input);
  return pdf_of(input, std::move(attachments), options);
}

}  // namespace sagbench::reports
