#include "bench/commands/operation_answers.hpp"

#include "bench/run/loaded_run.hpp"
#include "bench/text/run_progress.hpp"

namespace sagbench::bench {

std::vector<reports::OperationAnswers> operation_answers(
    const reports::Archive& archive, RunDigests& digests, const std::vector<ShelvedPack>& packs,
    const std::vector<std::string>& run_ids, std::span<const analysis::Operation> operations) {
  std::vector<reports::OperationAnswers> answers;
  for (const analysis::Operation& operation : operations) answers.push_back({operation, {}});
  if (answers.empty()) return answers;
  RunProgress progress(run_ids.size());
  std::size_t done = 0;
  for (const std::string& id : run_ids) {
    progress.tell(done++);
    const reports::ReportInput run = load_measured_run(archive, id);
    const auto others = other_discharges(digests, packs, run);
    for (reports::OperationAnswers& asked : answers)
      asked.by_run.emplace(
          id, analysis::endurance(run.recording, run.figures, asked.operation, others));
  }
  return answers;
}

}  // namespace sagbench::bench
