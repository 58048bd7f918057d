#include "bench/commands/pack_shelf.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

#include "bench/files/json_reader.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/run/loaded_run.hpp"
#include "bench/text/run_progress.hpp"
#include "reports/iso_date.hpp"
#include "reports/report_page.hpp"

namespace sagbench::bench {
namespace {

using analysis::PackAnswer;
using reports::ReportInput;
using reports::RunDigest;

/// What of a run decides whether it speaks for another.
struct Origin {
  std::string utc;
  bool simulated = false;
};

Origin origin_of(const ReportInput& input) {
  return {input.record.header.utc, reports::is_simulated(input)};
}

Origin origin_of(const RunDigest& run) {
  return {run.utc, run.simulated};
}

bool within_a_year(const Origin& left, const Origin& right) {
  constexpr long kYear = 365;
  const auto from = reports::iso_date(left.utc), to = reports::iso_date(right.utc);
  return from && to && std::labs(reports::days_between(*from, *to)) <= kYear;
}

/// Neither of them passes for the other: a simulated pack may have a real one's name.
bool of_one_world(const Origin& left, const Origin& right) {
  return left.simulated == right.simulated;
}

bool speaks_for(const Origin& run, const Origin& other) {
  return of_one_world(run, other) && within_a_year(run, other);
}

/// The newest run of a pack that measured its capacity, and the discharges of the others near it.
struct Measurements {
  std::optional<RunDigest> run;
  std::vector<analysis::RatePoint> others;
};

Measurements measurements_of(RunDigests& digests, const ShelvedPack& shelved,
                             const ReportInput& asked) {
  Measurements found;
  for (const std::string& id : shelved.runs) {
    RunDigest run = digests.of(id);
    const auto discharge = analysis::whole_discharge(run.capacity, run.pack);
    if (!discharge || !of_one_world(origin_of(asked), origin_of(run))) continue;
    if (!found.run)
      found.run = std::move(run);
    else if (within_a_year(origin_of(*found.run), origin_of(run)))
      found.others.push_back(*discharge);
  }
  return found;
}

PackAnswer labelled(const analysis::Pack& pack, const std::string& run_id) {
  return {run_id, pack.name, pack.serial, pack.mass_kg, {}};
}

PackAnswer answer_of(const reports::Archive& archive, RunDigests& digests,
                     const ShelvedPack& shelved, const ReportInput& asked,
                     const analysis::Operation& operation) {
  const Measurements found = measurements_of(digests, shelved, asked);
  if (!found.run) {
    PackAnswer answer = labelled(shelved.pack, shelved.runs.front());
    answer.endurance.hours =
        analysis::Finding<analysis::Measured>::missing("none of its runs measured a capacity");
    return answer;
  }
  const ReportInput run = load_measured_run(archive, found.run->run_id);
  PackAnswer answer = labelled(run.recording.pack, run.record.id);
  answer.endurance = analysis::endurance(run.recording, run.figures, operation, found.others);
  return answer;
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

std::vector<analysis::RatePoint> other_discharges(RunDigests& digests,
                                                  const std::vector<ShelvedPack>& packs,
                                                  const ReportInput& run) {
  std::vector<analysis::RatePoint> discharges;
  for (const ShelvedPack& shelved : packs) {
    if (!analysis::same_pack(shelved.pack, run.recording.pack)) continue;
    for (const std::string& id : shelved.runs) {
      if (id == run.record.id) continue;
      const RunDigest other = digests.of(id);
      const auto discharge = analysis::whole_discharge(other.capacity, other.pack);
      if (discharge && speaks_for(origin_of(run), origin_of(other)))
        discharges.push_back(*discharge);
    }
  }
  return discharges;
}

std::vector<PackAnswer> answers_of_all(const reports::Archive& archive, RunDigests& digests,
                                       const std::vector<ShelvedPack>& packs,
                                       const ReportInput& run, const analysis::Endurance& asked,
                                       const analysis::Operation& operation) {
  std::vector<PackAnswer> answers = {labelled(run.recording.pack, run.record.id)};
  answers.front().endurance = asked;
  for (std::size_t i = 0; i < packs.size(); ++i) {
    if (analysis::same_pack(packs[i].pack, run.recording.pack)) continue;
    tell_pack(i, packs.size(), packs[i].pack.name);
    answers.push_back(answer_of(archive, digests, packs[i], run, operation));
  }
  return answers;
}

}  // namespace sagbench::bench
