// What was changed in an archive behind its back is told, and where; what was not, is not.
#include "reports/archive_check.hpp"

#include <sqlite3.h>

#include <filesystem>
#include <fstream>
#include <iterator>

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "reports/sample_block.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {
namespace {

namespace fs = std::filesystem;
using testing::contains;
using testing::example_header;
using testing::example_sample;
using testing::example_samples;
using testing::outcome_of;
using testing::run_sql;
using testing::TemporaryFolder;

constexpr int kSamples = 5000;

/// With rows in every table.
std::string full_run(Archive& archive, int samples = kSamples) {
  const std::string id = archive.begin_run(example_header());
  archive.append(id, example_samples(0, samples));
  archive.append_asked(id, std::vector<AskedRow>(100, {0, {1.5, 0.25}}));
  for (int index = 0; index < 2; ++index) archive.put_step(id, index, {});
  for (const char* text : {"begun", "hot", "stopped"}) archive.add_event(id, {1.0, "note", text});
  archive.put_gap(id, 0, {2.5, 63.25, 1.2, 17.0, "the power failed"});
  archive.close_run(id, {RunEnd::operator_stop, "enough", true});
  return id;
}

std::string full_archive(const TemporaryFolder& folder, int samples = kSamples) {
  std::string path = folder.file("club.db");
  Archive archive(path, Archive::Access::write);
  full_run(archive, samples);
  return path;
}

std::string told(const RunCheck& run) {
  std::string text;
  for (const Alteration& alteration : run.alterations) text += words_on(alteration) + "; ";
  return text;
}

RunCheck check_only_run(const std::string& path) {
  const ArchiveCheck check = check_archive(path, std::nullopt);
  REQUIRE(check.runs.size() == 1);
  CHECK(check.of_file.empty());
  CHECK(check.sound() == check.runs[0].sound());
  return check.runs[0];
}

std::string bytes_of(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

void put_block(const std::string& path, std::int64_t first, const std::string& block) {
  const Database database(path, path, SQLITE_OPEN_READWRITE);
  database.query("UPDATE sample_block SET data = ? WHERE seq = ?")
      .bind_blob(block)
      .bind(first)
      .run();
}

/// Nothing of the page stays: neither what it is nor what it holds.
void damage_page(const std::string& path, std::int64_t number) {
  constexpr std::int64_t kPage = 4096;
  std::fstream file(path, std::ios::binary | std::ios::in | std::ios::out);
  file.seekp((number - 1) * kPage) << std::string(kPage, '\xa5');
  REQUIRE(file.good());
}

std::int64_t root_page(const std::string& path, const std::string& table) {
  return Database(path, path, SQLITE_OPEN_READONLY)
      .integer("SELECT rootpage FROM sqlite_schema WHERE name = '" + table + "'");
}

/// The last leaf of a table whose root lists leaves (SQLite's file format, 1.6).
std::int64_t last_leaf(const std::string& path, const std::string& table) {
  constexpr std::int64_t kPage = 4096;
  constexpr char kInterior = 5;
  constexpr std::size_t kRightmost = 8;
  const auto at = static_cast<std::size_t>((root_page(path, table) - 1) * kPage);
  const std::string file = bytes_of(path);
  REQUIRE(file[at] == kInterior);
  std::int64_t number = 0;
  for (std::size_t i = 0; i < 4; ++i)
    number = number * 256 + static_cast<unsigned char>(file[at + kRightmost + i]);
  return number;
}

}  // namespace

TEST_CASE("A run that ended is whole, by a hash that its content alone makes") {
  const TemporaryFolder folder, elsewhere;
  const std::string path = full_archive(folder);
  const RunCheck run = check_only_run(path);
  CHECK(told(run).empty());
  CHECK(run.sha256.size() == 64);
  CHECK(run.sealed_late.empty());

  Archive other(elsewhere.file("club.db"), Archive::Access::write);
  RunHeader header = example_header();
  header.pack_name = "another";
  other.begin_run(header);  // takes the number that the run has in the first archive
  const std::string id = full_run(other);
  CHECK(check_archive(elsewhere.file("club.db"), id).runs.at(0).sha256 == run.sha256);
}

TEST_CASE("Looking changes nothing in the file") {
  const TemporaryFolder folder;
  const std::string path = full_archive(folder);
  const std::string before = bytes_of(path);
  check_archive(path, std::nullopt);
  CHECK(bytes_of(path) == before);
}

TEST_CASE("Each change of a run is told, and where it is") {
  struct Case {
    const char* sql;
    const char* told;
  };
  const auto [sql, expected] = GENERATE(
      Case{"UPDATE run SET reason = 'the pack was fine'", "its reason differs; "},
      Case{"UPDATE run SET pack_json = '{}', end_code = 0",
           "its pack file differs; its end code differs; "},
      Case{"UPDATE run SET id = 'mine'", "its id differs; "},
      Case{"UPDATE run SET load_confirmed_off = 0", "its note on the load being off differs; "},
      Case{"UPDATE instrument SET calibrated = '2027-01-01' WHERE seq = 1",
           "instrument 1 differs; "},
      Case{"DELETE FROM note WHERE seq = 0", "note 0 is missing; "},
      Case{"UPDATE step SET end_s = 1e-9 WHERE step = 1", "step 1 differs; "},
      Case{"DELETE FROM event WHERE seq < 2", "events 0 to 1 are missing; "},
      Case{"INSERT INTO event VALUES (1, 3, 9.0, 'note', 'cooled')", "event 3 was added; "},
      Case{"UPDATE gap SET longest_on_s = 1", "gap 0 differs; "},
      Case{"UPDATE asked SET current_A = 3 WHERE seq = 70", "asked currents 64 to 99 differ; "},
      Case{"DELETE FROM sample_block WHERE seq = 4096", "samples 4096 to 4999 are missing; "},
      Case{"DELETE FROM sample_block WHERE seq = 0", "samples 0 to 4095 are missing; "},
      Case{"UPDATE sample_block SET data = x'00' WHERE seq = 4096",
           "samples 4096 to 4999 (409.5 s to 499.9 s) cannot be read; "},
      Case{"UPDATE sample_block SET count = 4095 WHERE seq = 0",
           "samples 0 to 4094 (0.0 s to 409.5 s) cannot be read; "},
      Case{"UPDATE sample_block SET last_s = 1 WHERE seq = 0",
           "what stands beside the block of the samples from 0 on differs; "},
      Case{"UPDATE sample_block SET sha256 = 'x' WHERE seq = 4096",
           "what stands beside the block of the samples from 4096 on differs; "},
      Case{"INSERT INTO sample VALUES (1, 5000, 500, 0, 13, 1, 1, 0, NULL, NULL, NULL, 0, 1, NULL, "
           "0)",
           "sample 5000 was added; "},
      Case{"UPDATE event SET text = 'x' WHERE seq = 2; DELETE FROM step WHERE step = 1",
           "step 1 is missing; event 2 differs; "});
  const TemporaryFolder folder;
  const std::string path = full_archive(folder);
  run_sql(path, sql);
  CHECK(told(check_only_run(path)) == expected);
}

TEST_CASE("Where the run is whole and a seal is not, that is told") {
  struct Case {
    const char* sql;
    const char* told;
  };
  const auto [sql, expected] = GENERATE(
      Case{"UPDATE seal SET sha256 = upper(sha256) WHERE part = 'event'",
           "the seal of its part event differs; "},
      Case{"UPDATE seal SET pieces = x'' WHERE part = 'sample' AND first = 4096",
           "the seal of the samples from 4096 on differs; "},
      Case{"DELETE FROM seal WHERE part = 'step'", "the seal of its part step is missing; "},
      Case{"INSERT INTO seal VALUES (1, 'photo', 0, 0, '', x'')",
           "the seal of its part photo was added; "},
      Case{"UPDATE run SET sha256 = 'ab'", "its hash differs; "},
      Case{"UPDATE run SET sealed_late_utc = '2020-01-01T00:00:00Z'", "its hash differs; "});
  const TemporaryFolder folder;
  const std::string path = full_archive(folder);
  run_sql(path, sql);
  CHECK(told(check_only_run(path)) == expected);
}

TEST_CASE(
    "A part that was changed together with its seal still does not belong to the run's hash") {
  const TemporaryFolder folder, forger;
  const std::string path = full_archive(folder);
  const std::string other = full_archive(forger);
  run_sql(other,
          "UPDATE run SET sha256 = NULL, sealed_late_utc = NULL;"
          "DELETE FROM seal WHERE part <> 'sample'; UPDATE event SET text = 'cool'");
  { const Archive sealed_anew(other, Archive::Access::write); }
  CHECK_FALSE(check_only_run(other).sealed_late.empty());
  run_sql(path, ("ATTACH '" + other +
                 "' AS other; UPDATE event SET text = 'cool';"
                 "DELETE FROM seal; INSERT INTO seal SELECT * FROM other.seal"));
  CHECK(told(check_only_run(path)) == "its hash differs; ");
}

TEST_CASE("One sample that was changed inside its block is found among its neighbours") {
  const TemporaryFolder folder;
  const std::string path = full_archive(folder);
  auto samples = example_samples(0, static_cast<int>(kSamplesInBlock));
  samples[100].voltage_v += 0.001;
  put_block(path, 0, encode_block(samples));
  CHECK(told(check_only_run(path)) == "samples 64 to 127 (6.4 s to 12.7 s) differ; ");
  // What is no block at all is still told with its times.
  put_block(path, 0, "nonsense");
  CHECK(told(check_only_run(path)) == "samples 0 to 4095 (0.0 s to 409.5 s) cannot be read; ");
}

TEST_CASE("A run that goes on is not sealed, one that is gone is missed") {
  const TemporaryFolder folder;
  const std::string path = full_archive(folder);
  {
    Archive archive(path, Archive::Access::write);
    const std::string id = archive.begin_run(example_header());
    archive.append(id, example_samples(0, kSamples));
  }
  ArchiveCheck check = check_archive(path, std::nullopt);
  CHECK(check.sound());
  REQUIRE(check.runs.size() == 2);
  CHECK_FALSE(check.runs[1].ended);
  CHECK(check.runs[1].sha256.empty());

  run_sql(path, "DELETE FROM sample WHERE run = 2 AND seq = 4500");
  CHECK(told(check_archive(path, std::nullopt).runs[1]) == "its record cannot be read; ");
  run_sql(path, "DELETE FROM run WHERE run = 1");
  check = check_archive(path, std::nullopt);
  CHECK_FALSE(check.sound());
  REQUIRE(check.of_file.size() == 1);
  CHECK(contains(check.of_file[0], "a sealed run is missing"));
}

TEST_CASE("Runs that damage keeps from being listed are counted as far as they can be") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  {
    Archive archive(path, Archive::Access::write);
    RunHeader header = example_header();
    header.pack_json = std::string(3000, ' ');  // one run a page
    for (int run = 0; run < 5; ++run) archive.begin_run(header);
  }
  damage_page(path, last_leaf(path, "run"));
  const ArchiveCheck check = check_archive(path, std::nullopt);
  CHECK_FALSE(check.sound());
  CHECK(check.runs.size() == 4);
  REQUIRE_FALSE(check.of_file.empty());
  CHECK(check.of_file[0] == "the list of runs cannot be read beyond 4 of them");
}

TEST_CASE("Seals that cannot be read are told of the file, and no run passes for whole") {
  const TemporaryFolder folder;
  const std::string path = full_archive(folder);
  damage_page(path, root_page(path, "seal"));
  const ArchiveCheck check = check_archive(path, std::nullopt);
  CHECK_FALSE(check.sound());
  REQUIRE_FALSE(check.of_file.empty());
  CHECK(check.of_file[0] == "the seals cannot all be read");
  REQUIRE(check.runs.size() == 1);
  CHECK_FALSE(check.runs[0].sound());
}

TEST_CASE("A run that is opened again loses its seal until it ends anew") {
  const TemporaryFolder folder;
  const std::string path = full_archive(folder);
  const std::string before = check_only_run(path).sha256;
  Archive archive(path, Archive::Access::write);
  const std::string id = archive.runs().at(0).id;
  archive.close_run(id, {});
  CHECK(check_only_run(path).sha256.empty());
  archive.append(id, example_samples(kSamples, 10));
  CHECK(told(check_only_run(path)).empty());
  archive.close_run(id, {RunEnd::done, "", true});
  const RunCheck after = check_only_run(path);
  CHECK(told(after).empty());
  CHECK(after.sha256.size() == 64);
  CHECK(after.sha256 != before);
  // A word added to a run that has ended counts as its own.
  archive.add_event(id, {9.0, "note", "looked at again"});
  CHECK(told(check_only_run(path)).empty());
  CHECK(check_only_run(path).sha256 != after.sha256);
}

TEST_CASE(
    "A run that could not be sealed when it ended is sealed at the next opening, and that is "
    "told") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  std::string id;
  {
    Archive archive(path, Archive::Access::write);
    id = archive.begin_run(example_header());
    run_sql(path,
            "CREATE TRIGGER refuse BEFORE INSERT ON seal BEGIN SELECT raise(ABORT, 'no'); END");
    archive.append(id, example_samples(0, 100));
    archive.close_run(id, {RunEnd::done, "", true});
  }
  CHECK(check_only_run(path).sha256.empty());
  CHECK(Archive(path, Archive::Access::read).load(id).samples.size() == 100);
  run_sql(path, "DROP TRIGGER refuse");
  { const Archive opened(path, Archive::Access::write); }
  const RunCheck run = check_only_run(path);
  CHECK(told(run).empty());
  CHECK(run.sha256.size() == 64);
  CHECK(run.sealed_late.size() == std::string_view("2026-11-26T00:00:00Z").size());
}

TEST_CASE("Whatever byte of the file is changed, it is told, or nothing of the run has changed") {
  const TemporaryFolder folder;
  const std::string path = full_archive(folder, 300);
  const std::string hash = check_only_run(path).sha256;
  const std::string whole = bytes_of(path);
  int silent = 0, told_of = 0;
  for (std::size_t at = 0; at < whole.size(); at += 61) {
    std::string other = whole;
    other[at] = static_cast<char>(static_cast<unsigned char>(other[at]) ^ 0x41U);
    std::ofstream(path, std::ios::binary) << other;
    CAPTURE(at);
    ArchiveCheck check;
    const auto refused = outcome_of([&] { check = check_archive(path, std::nullopt); });
    CHECK_FALSE(contains(refused.message, "malformed"));
    if (!refused.message.empty() || !check.sound()) {
      ++told_of;
      continue;
    }
    ++silent;
    REQUIRE(check.runs.size() == 1);
    REQUIRE(check.runs[0].sha256 == hash);
    const RunRecord record = Archive(path, Archive::Access::read).load(check.runs[0].id);
    REQUIRE(record.samples.size() == 300);
    REQUIRE(record.samples[299].time_s == example_sample(299).time_s);
    REQUIRE(record.events.size() == 3);
    REQUIRE(record.closing.reason == "enough");
  }
  CHECK(told_of > 50);
  CHECK(silent > 50);  // free space, comments of the schema
}

}  // namespace sagbench::reports
