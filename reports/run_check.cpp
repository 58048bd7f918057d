#include "reports/run_check.hpp"

#include <algorithm>
#include <iterator>
#include <utility>

namespace sagbench::reports {
namespace {

using Kind = Alteration::Kind;
using Samples = std::vector<analysis::Sample>;

Alteration placed_in_time(Alteration change, std::int64_t first, const Samples& samples) {
  const auto time_of = [&](std::int64_t number) -> std::optional<double> {
    const auto index = static_cast<std::size_t>(number - first);
    if (index >= samples.size()) return std::nullopt;
    return samples[index].time_s;
  };
  change.from_s = time_of(change.first);
  change.to_s = time_of(change.last);
  return change;
}

/// Of the seal itself. Samples have several.
Alteration of_seal(Kind kind, const Seal& seal) {
  return {kind, "seal", seal.first, seal.first, {}, {}, seal.part};
}

bool same_place(const Seal& one, const Seal& other) {
  return one.part == other.part && one.first == other.first;
}

}  // namespace

RunReading::RunReading(const Database& database, std::int64_t run, Depth depth, Samples& room)
    : database_(database), run_(run), depth_(depth), samples_(room) {}

template <class Work>
void RunReading::attempt(const Alteration& otherwise, Work&& work) {
  try {
    work();
  } catch (const ArchiveError&) {
    changed_.push_back(otherwise);
  }
}

const Seal* RunReading::sealed(const Seal& found) const {
  const auto at =
      std::ranges::find_if(sealed_, [&](const Seal& seal) { return same_place(seal, found); });
  return at == sealed_.end() ? nullptr : &*at;
}

std::vector<Alteration> RunReading::held_against(const RunSeal& seal) {
  attempt({Kind::unreadable, "seal"}, [&] {
    sealed_ = load_seals(database_, run_);
    has_seals_ = true;
  });
  for (const std::string_view table : sealed_tables()) read_table(table);
  read_samples();
  const bool whole = run_hash(found_, seal.late) == seal.sha256;
  std::vector<Alteration> all = whole ? altered_seals() : std::move(changed_);
  all.insert(all.end(), beside_.begin(), beside_.end());
  if (!whole && all.empty()) all.push_back({Kind::differs, "hash"});
  return all;
}

void RunReading::read_table(std::string_view table) {
  const Seal* const seal = sealed({std::string(table)});
  const std::int64_t rows = seal == nullptr ? 1 : std::max(seal->count, std::int64_t{1});
  attempt({Kind::unreadable, std::string(table), 0, rows - 1}, [&] {
    found_.push_back(seal_of_table(database_, run_, table));
    compare(found_.back(), {});
  });
}

void RunReading::read_samples() {
  attempt({Kind::unreadable, "sample"}, [&] { blocks_ = blocks_of(database_, run_); });
  std::optional<double> before_s;
  for (const SampleRange& block : blocks_) {
    read_block(block, before_s);
    before_s = block.last_s;
  }
  look_for_lost_blocks();
  attempt({Kind::unreadable, "sample"}, [&] { look_for_rows(); });
}

/// By its own hash, and then as its seal says.
bool RunReading::is_known_whole(const SampleRange& block) {
  const Seal* const seal = sealed({"sample", block.first});
  if (seal == nullptr || seal->count != block.count) return false;
  if (!is_as_packed(database_, run_, block).value_or(false)) return false;
  found_.push_back(*seal);
  return true;
}

void RunReading::read_block(const SampleRange& block, std::optional<double> before_s) {
  const Alteration unreadable{Kind::unreadable, "sample",
                              block.first,      block.first + block.count - 1,
                              before_s,         block.last_s};
  attempt(unreadable, [&] {
    if (depth_ == Depth::blocks && is_known_whole(block)) return;
    load_block(database_, run_, block, samples_);
    found_.push_back(seal_of_samples(block.first, samples_));
    compare(found_.back(), samples_);
    const Seal* const seal = sealed(found_.back());
    const bool as_sealed = seal != nullptr && *seal == found_.back();  // else that is told
    if (samples_.back().time_s != block.last_s ||
        (as_sealed && !is_as_packed(database_, run_, block).value_or(true)))
      beside_.push_back({Kind::differs, "sample_block", block.first, block.first});
  });
}

void RunReading::compare(const Seal& found, const Samples& samples) {
  if (!has_seals_) return;
  const Seal* const seal = sealed(found);
  if (seal == nullptr && found.part == "sample") {
    changed_.push_back(placed_in_time(
        {Kind::added, "sample", found.first, found.first + found.count - 1}, found.first, samples));
  } else if (seal == nullptr) {
    changed_.push_back(of_seal(Kind::missing, found));
  } else {
    for (const Alteration& change : differences(*seal, found))
      changed_.push_back(placed_in_time(change, found.first, samples));
  }
}

void RunReading::look_for_lost_blocks() {
  for (const Seal& seal : sealed_) {
    if (seal.part != "sample") continue;
    const auto at = std::ranges::find(blocks_, seal.first, &SampleRange::first);
    if (at == blocks_.end())
      changed_.push_back({Kind::missing, "sample", seal.first, seal.first + seal.count - 1});
  }
}

/// A run that is sealed has all its samples in blocks.
void RunReading::look_for_rows() {
  Query rows = database_.query("SELECT count(*), min(seq), max(seq) FROM sample WHERE run = ?");
  rows.bind(run_).step();
  if (rows.integer(0) > 0)
    beside_.push_back({Kind::added, "sample", rows.integer(1), rows.integer(2)});
}

std::vector<Alteration> RunReading::altered_seals() const {
  std::vector<Alteration> all;
  for (const Seal& found : found_) {
    const Seal* const seal = sealed(found);
    if (seal == nullptr) {
      all.push_back(of_seal(Kind::missing, found));
    } else if (*seal != found) {
      all.push_back(of_seal(Kind::differs, found));
    }
  }
  for (const Seal& seal : sealed_) {
    const auto same = [&](const Seal& found) { return same_place(seal, found); };
    if (std::ranges::none_of(found_, same)) all.push_back(of_seal(Kind::added, seal));
  }
  return all;
}

}  // namespace sagbench::reports
