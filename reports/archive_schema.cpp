#include "reports/archive_schema.hpp"

#include <fmt/format.h>

#include <string>

namespace sagbench::reports {
namespace {

// SQLite keeps the comments with each table, so `sqlite3 FILE .schema` explains the file by itself.
constexpr const char* kTables = R"sql(
CREATE TABLE run (             -- one test or one import
  run INTEGER PRIMARY KEY,     -- key within this file only
  id TEXT NOT NULL UNIQUE,     -- YYYYMMDD-HHMMSS-xxxx, for people
  header_hash TEXT NOT NULL,   -- hex, FNV-1a (64 bits) over everything known before the first sample
  utc TEXT NOT NULL,           -- ISO 8601, start of the run
  pack_name TEXT NOT NULL,
  pack_json TEXT NOT NULL,     -- the user's files as they were used
  bench_json TEXT NOT NULL,
  plan_json TEXT NOT NULL,
  software TEXT NOT NULL,
  end_code INTEGER NOT NULL DEFAULT -1,  -- exit code of the run: 0 done, 1 defect, 2 user's fault, 3 safety,
                                         -- 4 instrument, 5 operator; 6 the program or the computer
                                         -- died; -1 running, or died and not yet closed
  reason TEXT NOT NULL DEFAULT '',
  load_confirmed_off INTEGER NOT NULL DEFAULT 0, -- 1: the load said so and the current was gone
  sha256 TEXT,                 -- hex, over the list of its seals; NULL: not sealed. Since version 6
  sealed_late_utc TEXT         -- when it was sealed, if not as it ended. Since version 6
) STRICT;
CREATE INDEX run_by_header ON run (header_hash);
CREATE TABLE instrument (
  run INTEGER NOT NULL REFERENCES run, seq INTEGER NOT NULL,
  role TEXT NOT NULL,          -- load, meter
  identity TEXT NOT NULL,      -- its answer to *IDN?
  port TEXT NOT NULL,
  calibrated TEXT NOT NULL,    -- ISO 8601 date; empty: not stated
  PRIMARY KEY (run, seq)
) STRICT, WITHOUT ROWID;
CREATE TABLE note (            -- what the bench could not do, defaults used
  run INTEGER NOT NULL REFERENCES run, seq INTEGER NOT NULL,
  text TEXT NOT NULL,
  PRIMARY KEY (run, seq)
) STRICT, WITHOUT ROWID;
CREATE TABLE step (            -- steps of the plan as they ran
  run INTEGER NOT NULL REFERENCES run,
  step INTEGER NOT NULL,       -- from 0, in the order of the plan
  kind TEXT NOT NULL,          -- rest, capacity, peak-current, transmit, recharge, imported
  parameters_json TEXT NOT NULL,  -- the plan's own words for it
  start_s REAL NOT NULL,
  end_s REAL NOT NULL,
  end_reason TEXT NOT NULL,    -- completed, end_of_discharge, cell_end_of_discharge, supply_min,
                               -- protection_board, skipped, interrupted
  why TEXT NOT NULL,
  charge_before_Ah REAL NOT NULL,  -- removed since the pack was last full, when the step began
  PRIMARY KEY (run, step)
) STRICT, WITHOUT ROWID;
CREATE TABLE event (
  run INTEGER NOT NULL REFERENCES run, seq INTEGER NOT NULL,
  time_s REAL NOT NULL,
  severity TEXT NOT NULL,      -- note, warning, stop
  text TEXT NOT NULL,
  PRIMARY KEY (run, seq)
) STRICT, WITHOUT ROWID;
CREATE TABLE sample (          -- while they come in; see sample_block for those before
  run INTEGER NOT NULL REFERENCES run,
  seq INTEGER NOT NULL,        -- from 0 without gaps, in the order taken
  time_s REAL NOT NULL,        -- since the run's start; middle of the voltage query's round trip
  round_trip_s REAL NOT NULL,
  voltage_V REAL NOT NULL,     -- of the pack
  current_A REAL NOT NULL,     -- measured; discharge positive
  commanded_A REAL NOT NULL,   -- the load's setpoint; 0 while its input is off
  commanded_since_s REAL,      -- when that setpoint took effect
  load_voltage_V REAL,         -- the load's own reading, where a meter gives voltage_V
  temperature_C REAL,
  cell_V TEXT,                 -- JSON array, one number a tap from the negative end up; NULL: not read
  step INTEGER NOT NULL,
  phase INTEGER NOT NULL,      -- 0 rest, 1 discharge, 2 low current, 3 high current, 4 peak, 5 recovery,
                               -- 6 receive, 7 transmit, 8 imported; since version 3:
                               -- 9 the radio has dropped out, input off; 10 search for the trip
  voltage_age_s REAL,          -- radio pattern: how old the pack voltage was that decided the current,
                               -- when it decided; NULL: no voltage decided. Since version 3
  missed_ticks INTEGER NOT NULL DEFAULT 0,  -- of the radio pattern, since the sample before. Since version 3
  PRIMARY KEY (run, seq)
) STRICT, WITHOUT ROWID;
)sql";

// Since version 2.
constexpr const char* kGapTable = R"sql(
CREATE TABLE gap (             -- nobody watched: the program died with the load on, the step went on later
  run INTEGER NOT NULL REFERENCES run, seq INTEGER NOT NULL,
  start_s REAL NOT NULL,       -- the last sample before
  end_s REAL NOT NULL,         -- the load was found or switched off; by the calendar, about a second
  current_A REAL NOT NULL,     -- that the load drew
  longest_on_s REAL NOT NULL,  -- at most so long after start_s it drew on
  why TEXT NOT NULL,
  PRIMARY KEY (run, seq)
) STRICT, WITHOUT ROWID;
)sql";

// Since version 4.
constexpr const char* kAskedTable = R"sql(
CREATE TABLE asked (           -- radio pattern: what the radio asked for, whatever the load then drew
  run INTEGER NOT NULL REFERENCES run,
  seq INTEGER NOT NULL,        -- from 0 without gaps
  step INTEGER NOT NULL,
  start_s REAL NOT NULL,       -- from then on, until the next one's
  current_A REAL NOT NULL,
  PRIMARY KEY (run, seq)
) STRICT, WITHOUT ROWID;
)sql";

// Since version 5.
constexpr const char* kBlockTable = R"sql(
CREATE TABLE sample_block (    -- samples in a row that are no longer in the table sample: its columns, packed
                               -- and deflated; docs/archive.md says how to read them
  run INTEGER NOT NULL REFERENCES run,
  seq INTEGER NOT NULL,        -- number of the first one
  count INTEGER NOT NULL,      -- how many; 4096, or less in a block that ends a run
  last_s REAL NOT NULL,        -- time_s of the last one
  data BLOB NOT NULL
) STRICT;
CREATE UNIQUE INDEX sample_block_place ON sample_block (run, seq, count, last_s);
)sql";

// Since version 6.
constexpr const char* kSealTable = R"sql(
CREATE TABLE seal (            -- hashes of a run that has ended, part by part; docs/archive.md says over what
  run INTEGER NOT NULL REFERENCES run,
  part TEXT NOT NULL,          -- run, instrument, note, step, event, gap, asked: its rows there; sample
  first INTEGER NOT NULL,      -- number of the part's first row; samples have a part for each block
  count INTEGER NOT NULL,      -- of its rows
  sha256 TEXT NOT NULL,        -- hex, over the SHA-256 of each piece
  pieces BLOB NOT NULL,        -- of each piece, a row or 64 (sample, asked), the first four bytes of its SHA-256
  PRIMARY KEY (run, part, first)
) STRICT, WITHOUT ROWID;
CREATE INDEX run_unsealed ON run (end_code) WHERE sha256 IS NULL;
)sql";

// Since version 7.
constexpr const char* kPhotoTables = R"sql(
CREATE TABLE photo (           -- of a run's pack; no seal of the run covers it, it has a hash of its own
  run INTEGER NOT NULL REFERENCES run,
  sha256 TEXT NOT NULL,        -- hex, over data
  utc TEXT NOT NULL,           -- ISO 8601 with milliseconds, when it was added
  name TEXT NOT NULL,          -- of the file it was
  media_type TEXT NOT NULL,    -- image/jpeg, image/png
  caption TEXT NOT NULL,       -- empty: none
  data BLOB NOT NULL           -- the file's bytes
) STRICT;
CREATE UNIQUE INDEX photo_place ON photo (run, sha256);
CREATE TABLE remark (          -- what somebody says of a run afterwards; no seal of the run covers it either
  run INTEGER NOT NULL REFERENCES run,
  sha256 TEXT NOT NULL,        -- hex, over utc, a line feed, and text
  utc TEXT NOT NULL,           -- ISO 8601 with milliseconds, when it was added
  text TEXT NOT NULL,
  PRIMARY KEY (run, sha256)
) STRICT, WITHOUT ROWID;
CREATE TABLE deleted (         -- runs that were deleted here: no merge brings them back unasked
  id TEXT PRIMARY KEY NOT NULL,
  utc TEXT NOT NULL,           -- ISO 8601, when
  sha256 TEXT                  -- the run's, as it was sealed; NULL: it was not
) STRICT, WITHOUT ROWID;
)sql";

// Since version 7.
constexpr const char* kAnalysisTable = R"sql(
CREATE TABLE analysis (        -- figures for comparisons, kept so that they need not be computed again; whoever
                               -- deletes a row loses nothing
  run INTEGER PRIMARY KEY REFERENCES run ON DELETE CASCADE,
  sha256 TEXT NOT NULL,        -- of the run they were computed from: of use only while run.sha256 is the same
  code TEXT NOT NULL,          -- hex, SHA-256 of the sources that computed them: of use to no others
  software TEXT NOT NULL,      -- name and version of the program that did
  utc TEXT NOT NULL,           -- ISO 8601, when
  digest_json TEXT NOT NULL    -- the figures; docs/archive.md describes the keys
) STRICT;
)sql";

// Since version 8: hex, over a row of seq, count, last_s and data; NULL: packed by an older
// program.
constexpr const char* kBlockHashColumn = "ALTER TABLE sample_block ADD COLUMN sha256 TEXT";

constexpr const char* kSealColumns = R"sql(
ALTER TABLE run ADD COLUMN sha256 TEXT;
ALTER TABLE run ADD COLUMN sealed_late_utc TEXT;
)sql";

constexpr const char* kTickColumns = R"sql(
ALTER TABLE sample ADD COLUMN voltage_age_s REAL;
ALTER TABLE sample ADD COLUMN missed_ticks INTEGER NOT NULL DEFAULT 0;
)sql";

[[noreturn]] void refuse(const Database& database, const std::string& why) {
  throw ArchiveError(ArchiveError::Kind::user, fmt::format("{}: {}", database.path(), why));
}

bool is_blank(const Database& database) {
  return database.integer("PRAGMA application_id") == 0 &&
         database.integer("PRAGMA user_version") == 0 &&
         database.integer("SELECT count(*) FROM sqlite_schema") == 0;
}

}  // namespace

void create_schema(const Database& database) {
  if (!is_blank(database)) return;
  database.execute("BEGIN IMMEDIATE");
  // Somebody else may have made the archive between the look and the lock.
  if (is_blank(database)) {
    database.execute(kTables);
    database.execute(kGapTable);
    database.execute(kAskedTable);
    database.execute(kBlockTable);
    database.execute(kSealTable);
    database.execute(kPhotoTables);
    database.execute(kAnalysisTable);
    database.execute(kBlockHashColumn);
    database.execute(fmt::format("PRAGMA application_id = {}; PRAGMA user_version = {}",
                                 kArchiveApplicationId, kArchiveVersion)
                         .c_str());
  }
  database.execute("COMMIT");
}

void migrate(const Database& database) {
  if (database.integer("PRAGMA user_version") >= kArchiveVersion) return;
  database.execute("BEGIN IMMEDIATE");
  // Somebody else may have done it between the look and the lock.
  if (database.integer("PRAGMA user_version") == 1) {
    database.execute(kGapTable);
    database.execute("PRAGMA user_version = 2");
  }
  if (database.integer("PRAGMA user_version") == 2) {
    database.execute(kTickColumns);
    database.execute("PRAGMA user_version = 3");
  }
  if (database.integer("PRAGMA user_version") == 3) {
    database.execute(kAskedTable);
    database.execute("PRAGMA user_version = 4");
  }
  if (database.integer("PRAGMA user_version") == 4) {
    database.execute(kBlockTable);
    database.execute("PRAGMA user_version = 5");
  }
  if (database.integer("PRAGMA user_version") == 5) {
    database.execute(kSealColumns);
    database.execute(kSealTable);
    database.execute("PRAGMA user_version = 6");
  }
  if (database.integer("PRAGMA user_version") == 6) {
    database.execute(kPhotoTables);
    database.execute(kAnalysisTable);
    database.execute("PRAGMA user_version = 7");
  }
  if (database.integer("PRAGMA user_version") == 7) {
    database.execute(kBlockHashColumn);
    database.execute("PRAGMA user_version = 8");
  }
  database.execute("COMMIT");
}

void require_known_archive(const Database& database) {
  if (database.integer("PRAGMA application_id") != kArchiveApplicationId) {
    database.fail(SQLITE_NOTADB);
  }
  const std::int64_t version = database.integer("PRAGMA user_version");
  if (version > kArchiveVersion) {
    refuse(database,
           fmt::format("was written by a newer sagbench (archive version {}, this program knows "
                       "{}); update sagbench",
                       version, kArchiveVersion));
  }
  if (version < 1) refuse(database, fmt::format("has the unknown archive version {}", version));
}

}  // namespace sagbench::reports
