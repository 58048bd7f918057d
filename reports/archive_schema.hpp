#pragma once
// The archive's file format. The one place where it is described; the text below is also stored in
// each file.

#include "reports/sqlite_database.hpp"

namespace sagbench::reports {

/// 'SAGB': marks an SQLite file as ours (PRAGMA application_id).
inline constexpr int kArchiveApplicationId = 0x53414742;
/// PRAGMA user_version. A stored value never changes its meaning; a new meaning is a new version.
inline constexpr int kArchiveVersion = 8;
/// The first one that keeps gaps.
inline constexpr int kGapsSinceVersion = 2;
/// The first one that keeps the age of the voltage behind each current, and missed ticks.
inline constexpr int kTicksSinceVersion = 3;
/// The first one that keeps what a radio asked for.
inline constexpr int kAskedSinceVersion = 4;
/// The first one that packs samples into blocks.
inline constexpr int kBlocksSinceVersion = 5;
/// The first one that seals runs.
inline constexpr int kSealsSinceVersion = 6;
/// The first one that keeps photos and remarks, and what was deleted.
inline constexpr int kPhotosSinceVersion = 7;
/// The first one that keeps figures for comparisons.
inline constexpr int kAnalysisSinceVersion = 7;
/// The first one whose blocks have a hash of their own.
inline constexpr int kBlockHashSinceVersion = 8;

/// Makes an empty file an archive, in one transaction. Does nothing to a file that is an archive
/// already.
void create_schema(const Database& database);
/// Brings a known archive of an older version to kArchiveVersion, in one transaction: nothing in it
/// changes its meaning. An older program refuses it from then on.
void migrate(const Database& database);
/// Throws ArchiveError (user) unless the file is an archive of a version this program knows.
void require_known_archive(const Database& database);

}  // namespace sagbench::reports
