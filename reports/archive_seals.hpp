#pragma once
// The seals of a run as the archive keeps them, and what they are made from.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "reports/run_record.hpp"
#include "reports/seal.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {

/// Tables, besides the samples, whose rows of a run are a part with a seal, in the order of the
/// seals. The columns of "run" are its rows.
std::vector<std::string_view> sealed_tables();

/// The seal that the rows have now. Throws ArchiveError where they cannot be read.
Seal seal_of_table(const Database& database, std::int64_t run, std::string_view table);

/// As they are stored, in their order: tables, then samples.
std::vector<Seal> load_seals(const Database& database, std::int64_t run);
void put_seal(const Database& database, std::int64_t run, const Seal& seal);
/// False, and nothing done, where that is not the seal.
bool drop_seal(const Database& database, std::int64_t run, const Seal& seal);

RunSeal run_seal(const Database& database, std::int64_t run);

/// Seals a run that has ended and whose samples all lie in blocks; those of blocks that have a seal
/// already stay. `late`: when, if it ended some time before; else empty. Within a transaction of
/// the caller's.
void seal_run(const Database& database, std::int64_t run, const std::string& late);

/// Gives a block that has no seal, because an older program made it, its own; false where none is
/// left. Within a transaction of the caller's.
bool seal_next_block(const Database& database, std::int64_t run);

/// The run is about to be changed: takes its hash away, and all seals but those of its blocks.
void unseal_run(const Database& database, std::int64_t run);

}  // namespace sagbench::reports
