#pragma once
// Opening an archive file: what may go wrong with a path, said before SQLite says it less clearly.

#include <memory>
#include <string>

#include "reports/archive.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {

/// The file must exist. Nothing can be written through the result, but a reader may tidy up
/// SQLite's own neighbour files (FILE-wal, FILE-shm) that a killed writer left.
Database open_to_read(const std::string& path);
/// Creates the file when it is missing; its folder must exist.
Database open_to_write(const std::string& path, Archive::Durability durability);

/// Puts the archive at `path`, which is open to read already, beside the one that `to` has open, as
/// the schema "source", so that rows go over within SQLite. It is only read.
void attach_source(const Database& to, const std::string& path);

/// To add what can be computed again to an archive that is only read otherwise: null where it
/// cannot be written. Neither creates the file nor changes its version; what is committed survives
/// the process, perhaps not a power failure.
std::unique_ptr<Database> open_to_add(const std::string& path) noexcept;

}  // namespace sagbench::reports
