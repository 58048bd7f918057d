#include "bench/pack_shelf.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>

#include "bench/json_reader.hpp"
#include "bench/loaded_run.hpp"
#include "bench/pack_file.hpp"
#include "reports/iso_date.hpp"
#include "reports/report_page.hpp"

namespace sagbench::bench {
namespace {

using analysis::PackAnswer;
using reports::ReportInput;

bool within_a_year(const ReportInput& left, const ReportInput& right) {
  constexpr long kYear = 365;
  const auto from = reports::iso_date(left.record.header.utc);
  const auto to = reports::iso_date(right.record.header.utc);
  return from && to && std::labs(reports::days_between(*from, *to)) <= kYear;
}

/// Neither of them passes for the other: a simulated pack may have a real one's name.
bool of_one_world(const ReportInput& left, const ReportInput& right) {
  return reports::is_simulated(left) == reports::is_simulated(right);
}

bool speaks_for(const ReportInput& run, const ReportInput& other) {
  return of_one_world(run, other) && within_a_year(run, other);
}

/// The newest run of a pack that measured its capacity, and the discharges of the others near it.
struct Measurements {
  std::optional<ReportInput> run;
  std::vector<analysis::RatePoint> others;
};

Measurements measurements_of(const reports::Archive& archive, const ShelvedPack& shelved,
                             const ReportInput& asked) {
  Measurements found;
  for (const std::string& id : shelved.runs) {
    ReportInput input = load_measured_run(archive, id);
    const auto discharge = analysis::whole_discharge(input.figures);
    if (!discharge || !of_one_world(asked, input)) continue;
    if (!found.run)
      found.run = std::move(input);
    else if (within_a_year(*found.run, input))
      found.others.push_back(*discharge);
  }
  return found;
}

PackAnswer labelled(const analysis::Pack& pack, const std::string& run_id) {
  return {run_id, pack.name, pack.serial, pack.mass_kg, {}};
}

PackAnswer answer_of(const reports::Archive& archive, const ShelvedPack& shelved,
                     const ReportInput& asked, const analysis::Operation& operation) {
  const Measurements found = measurements_of(archive, shelved, asked);
  if (!found.run) {
    PackAnswer answer = labelled(shelved.pack, shelved.runs.front());
    answer.endurance.hours =
        analysis::Finding<analysis::Measured>::missing("none of its runs measured a capacity");
    return answer;
  }
  PackAnswer answer = labelled(found.run->recording.pack, found.run->record.id);
  answer.endurance =
      analysis::endurance(found.run->recording, found.run->figures, operation, found.others);
  return answer;
}

void tell_progress(std::size_t index, std::size_t count, const std::string& name) {
  if (isatty(STDERR_FILENO) == 1)
    fmt::print(stderr, "pack {} of {}: {} ...\n", index + 1, count, name);
}

}  // namespace

std::vector<ShelvedPack> packs_in(const reports::Archive& archive) {
  std::vector<ShelvedPack> packs;
  for (const reports::RunSummary& run : archive.runs()) {
    if (run.end == reports::RunEnd::running) continue;
    const std::string origin = "run " + run.id;
    const analysis::Pack pack = pack_from_json(parse_json(run.pack_json, origin), origin);
    const auto there = std::ranges::find_if(
        packs, [&](const ShelvedPack& other) { return analysis::same_pack(other.pack, pack); });
    if (there == packs.end())
      packs.push_back({pack, {run.id}});
    else
      there->runs.push_back(run.id);
  }
  return packs;
}

std::vector<analysis::RatePoint> other_discharges(const reports::Archive& archive,
                                                  const std::vector<ShelvedPack>& packs,
                                                  const ReportInput& run) {
  std::vector<analysis::RatePoint> discharges;
  for (const ShelvedPack& shelved : packs) {
    if (!analysis::same_pack(shelved.pack, run.recording.pack)) continue;
    for (const std::string& id : shelved.runs) {
      if (id == run.record.id) continue;
      const ReportInput other = load_measured_run(archive, id);
      const auto discharge = analysis::whole_discharge(other.figures);
      if (discharge && speaks_for(run, other)) discharges.push_back(*discharge);
    }
  }
  return discharges;
}

std::vector<PackAnswer> answers_of_all(const reports::Archive& archive,
                                       const std::vector<ShelvedPack>& packs,
                                       const ReportInput& run, const analysis::Endurance& asked,
                                       const analysis::Operation& operation) {
  std::vector<PackAnswer> answers = {labelled(run.recording.pack, run.record.id)};
  answers.front().endurance = asked;
  for (std::size_t i = 0; i < packs.size(); ++i) {
    if (analysis::same_pack(packs[i].pack, run.recording.pack)) continue;
    tell_progress(i, packs.size(), packs[i].pack.name);
    answers.push_back(answer_of(archive, packs[i], run, operation));
  }
  return answers;
}

}  // namespace sagbench::bench
