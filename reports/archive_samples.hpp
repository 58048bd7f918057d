#pragma once
// Where a run's samples lie in the archive: as rows while they come in, so that each is safe at
// once, and from a full block on, or from the run's end, as compressed blocks.

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "analysis/recording.hpp"
#include "reports/packed_samples.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {

/// Numbers of a run's samples, which have no gaps.
struct SampleNumbers {
  std::int64_t first_row = 0;  // those before lie in blocks
  std::int64_t next = 0;       // how many there are
};

SampleNumbers sample_numbers(const Database& database, std::int64_t run);

/// All full blocks of samples that are numbered from 0. Throws as append_samples(), in whose
/// messages `path` is the archive.
std::vector<SampleBlock> full_blocks(const std::string& path,
                                     std::span<const analysis::Sample> samples);

/// Numbered on from `numbers.next`: as rows, but for whole blocks where no rows wait. Within a
/// transaction of the caller's. Throws ArchiveError (io) when a value is not finite, or with more
/// cells than a block can hold. Each block gets its seal.
void append_samples(const Database& database, std::int64_t run, const PackedSamples& packed,
                    SampleNumbers& numbers);

/// Turns rows into blocks, full ones or, with `all`, a last one that is not. Within a transaction
/// of the caller's: each sample is a row or in a block, never both, never neither.
void pack_rows(const Database& database, std::int64_t run, bool all);
/// One block of them; false where none is due any more.
bool pack_next(const Database& database, std::int64_t run, bool all);

/// Samples in a row that lie in one block.
struct SampleRange {
  std::int64_t first = 0;
  std::int64_t count = 0;
  double last_s = 0.0;  // as it stands beside the block
};

/// In the order of their numbers.
std::vector<SampleRange> blocks_of(const Database& database, std::int64_t run);
/// In the place of what `samples` held, whose memory is used again; at least one. Throws
/// ArchiveError (io) where it is damaged or not there.
void load_block(const Database& database, std::int64_t run, const SampleRange& block,
                std::vector<analysis::Sample>& samples);

/// Whether the block is, byte for byte, what was once packed, found to be its samples and sealed;
/// nothing where it has no hash of its own or is not there.
std::optional<bool> is_as_packed(const Database& database, std::int64_t run,
                                 const SampleRange& block);

/// Those numbered from `from` on. Throws ArchiveError (io) where one is damaged.
std::vector<analysis::Sample> load_samples_from(const Database& database, std::int64_t run,
                                                std::int64_t from);

/// All samples of a run, from an archive of any known version. Throws ArchiveError (io) where some
/// are missing or damaged.
std::vector<analysis::Sample> load_samples(const Database& database, std::int64_t run);

}  // namespace sagbench::reports
