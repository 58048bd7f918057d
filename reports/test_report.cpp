#include "reports/test_report.hpp"

#include "reports/atomic_file.hpp"
#include "reports/budget_page.hpp"
#include "reports/circuit_page.hpp"
#include "reports/details_page.hpp"
#include "reports/evidence_page.hpp"
#include "reports/operator_page.hpp"
#include "reports/over_page.hpp"
#include "reports/photo_part.hpp"
#include "reports/report_page.hpp"
#include "reports/report_pages.hpp"

namespace sagbench::reports {

void draw_test_report(PdfDocument& document, const ReportInput& input) {
  const OperatorPage first = draw_operator_page(document, input);
  const bool more_evidence = !input.recording.samples.empty() && !first.run_drawn;
  if (more_evidence) draw_evidence_page(document, input);
  draw_pack_evidence(document, input, !first.peaks_drawn);
  if (const auto over = over_pictures(input.recording))
    draw_over_page(document, *over, input.figures.on_air);
  if (input.figures.charge_circuit) draw_circuit_page(document, input);
  draw_budget_page(document, input.figures);
  draw_details_page(document, input, !first.cautions_complete);
  draw_photo_part(document, input);
  draw_feet(document, input.record.header.software + " \xC2\xB7 run " + input.record.id +
                          " \xC2\xB7 " + date_words(input.record.header.utc));
}

void write_test_report(const ReportInput& input, const std::string& path) {
  PdfDocument document("Battery test: " + input.recording.pack.name, input.record.header.utc);
  draw_test_report(document, input);
  write_file_whole(path, document.bytes());
}

}  // namespace sagbench::reports
