#include "bench/commands/analysis_document.hpp"

#include "bench/version.hpp"
#include "reports/archive_check.hpp"
#include "reports/figures_json.hpp"

namespace sagbench::bench {

std::string analysis_document(const std::string& path, const reports::ReportInput& run,
                              const std::optional<analysis::CorrectedCapacity>& corrected) {
  const reports::Origin origin{reports::sealed_hash(path, run.record.id), kSoftware,
                               run.record.photos, run.record.remarks};
  return reports::figures_json(run.figures, run.recording.pack, corrected, origin);
}

}  // namespace sagbench::bench
