// `sagbench ageing`: one pack over its tests.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <utility>

#include "bench/commands/commands.hpp"
#include "bench/commands/operation_answers.hpp"
#include "bench/commands/pack_shelf.hpp"
#include "bench/files/input_error.hpp"
#include "bench/run/run_digests.hpp"
#include "bench/run/run_session.hpp"
#include "bench/version.hpp"
#include "reports/ageing_report.hpp"

namespace sagbench::bench {
namespace {

using reports::Archive;

/// A pack by what its owner calls it: changes to other keys of its file make it no other.
struct NamedPack {
  std::string name, serial;
  std::vector<std::string> runs{};
};

std::vector<NamedPack> named_packs(const std::vector<ShelvedPack>& shelf) {
  std::vector<NamedPack> packs;
  for (const ShelvedPack& shelved : shelf) {
    const auto known = std::ranges::find_if(packs, [&](const NamedPack& pack) {
      return pack.name == shelved.pack.name && pack.serial == shelved.pack.serial;
    });
    NamedPack& pack = known == packs.end()
                          ? packs.emplace_back(NamedPack{shelved.pack.name, shelved.pack.serial})
                          : *known;
    pack.runs.insert(pack.runs.end(), shelved.runs.begin(), shelved.runs.end());
  }
  return packs;
}

std::string label(const NamedPack& pack) {
  return pack.serial.empty() ? fmt::format("\"{}\" without a serial", pack.name)
                             : fmt::format("\"{}\" {}", pack.name, pack.serial);
}

/// No more than a line holds.
std::string listed(const std::vector<NamedPack>& packs) {
  constexpr std::size_t kMost = 8;
  std::vector<std::string> labels;
  for (const NamedPack& pack : packs)
    if (labels.size() < kMost) labels.push_back(label(pack));
  return fmt::format("{}{}", fmt::join(labels, ", "), packs.size() > kMost ? ", ..." : "");
}

NamedPack find_pack(const AgeingOptions& options, const std::vector<ShelvedPack>& shelf) {
  const std::vector<NamedPack> all = named_packs(shelf);
  std::vector<NamedPack> found;
  std::ranges::copy_if(all, std::back_inserter(found), [&](const NamedPack& pack) {
    const bool named =
        pack.name == options.pack || (!pack.serial.empty() && pack.serial == options.pack);
    return named && (!options.serial || pack.serial == *options.serial);
  });
  if (found.size() == 1) return found.front();
  if (found.size() > 1)
    throw InputError(fmt::format("{}: \"{}\" may be {}; add --serial", options.archive,
                                 options.pack, listed(found)));
  if (all.empty())
    throw InputError(options.archive + ": no run has ended yet; there is no pack to tell of");
  throw InputError(fmt::format(
      "{}: no pack has the name or serial \"{}\"{}; there is {}", options.archive, options.pack,
      options.serial ? fmt::format(" and the serial \"{}\"", *options.serial) : "", listed(all)));
}

}  // namespace

int command_ageing(const AgeingOptions& options) {
  if (options.out.empty() && options.svg.empty() && !options.json)
    throw InputError(
        "ageing: --out is missing; name the PDF to write, or a folder for pictures with --svg, or "
        "ask for --json");
  const auto operations = read_operations(options.operations);
  const Archive archive(options.archive, Archive::Access::read);
  const std::vector<ShelvedPack> shelf = packs_in(archive);
  const NamedPack pack = find_pack(options, shelf);
  RunDigests digests(options.archive, archive);
  std::vector<reports::RunDigest> runs = digests.of_all(pack.runs);
  const reports::AgeingHistory history = reports::ageing_history(
      std::move(runs), operation_answers(archive, digests, shelf, pack.runs, operations));
  if (!options.svg.empty()) reports::write_ageing_svg(history, options.svg);
  if (!options.out.empty()) reports::write_ageing(history, kSoftware, options.out, options.layout);
  if (options.json) fmt::print("{}", reports::ageing_json(history));
  return 0;
}

}  // namespace sagbench::bench
