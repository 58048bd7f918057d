// An archive that an older program wrote is read as it is, and goes on as one of today's.
// data/archive-version-1.db was made by sagbench as of archive version 1: one run that was done,
// and one whose program was killed. data/archive-version-2.db, as of version 2: one transmit step;
// data/archive-version-3.db, as of version 3: the same step; data/archive-version-4.db, as of
// version 4: a rest and a shorter transmit step of another pack, with tapped cells;
// data/archive-version-5.db, as of version 5: the same; data/archive-version-6.db, as of version 6:
// the same; data/archive-version-7.db, as of version 7: the same with a photo and a remark.
#include <sqlite3.h>

#include <algorithm>
#include <filesystem>

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "reports/archive_check.hpp"
#include "reports/archive_merge.hpp"
#include "reports/archive_schema.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {
namespace {

namespace fs = std::filesystem;
using testing::example_header;
using testing::example_samples;
using testing::run_sql;
using testing::TemporaryFolder;

constexpr const char* kDone = "20261125-151207-4be1";
constexpr const char* kKilled = "20261125-151219-bc45";
constexpr const char* kOldFile = SAGBENCH_TEST_DATA "/unit/reports/data/archive-version-1.db";
constexpr const char* kOnAir = "20260620-080000-395e";
constexpr const char* kOnAirFile = SAGBENCH_TEST_DATA "/unit/reports/data/archive-version-2.db";

constexpr const char* kTickedFile = SAGBENCH_TEST_DATA "/unit/reports/data/archive-version-3.db";

constexpr const char* kTapped = "20260620-080000-fbfe";
constexpr const char* kTappedFile = SAGBENCH_TEST_DATA "/unit/reports/data/archive-version-4.db";

constexpr const char* kPackedFile = SAGBENCH_TEST_DATA "/unit/reports/data/archive-version-5.db";

constexpr const char* kSealedFile = SAGBENCH_TEST_DATA "/unit/reports/data/archive-version-6.db";

constexpr const char* kPicturedFile = SAGBENCH_TEST_DATA "/unit/reports/data/archive-version-7.db";

std::string old_archive(const TemporaryFolder& folder, const char* file = kOldFile) {
  std::string path = folder.file("club.db");
  fs::copy_file(file, path);
  fs::permissions(path, fs::perms::owner_all);
  return path;
}

int version_of(const std::string& path) {
  sqlite3* handle = nullptr;
  sqlite3_stmt* asked = nullptr;
  REQUIRE(sqlite3_open(path.c_str(), &handle) == SQLITE_OK);
  REQUIRE(sqlite3_prepare_v2(handle, "PRAGMA user_version", -1, &asked, nullptr) == SQLITE_OK);
  REQUIRE(sqlite3_step(asked) == SQLITE_ROW);
  const int version = sqlite3_column_int(asked, 0);
  sqlite3_finalize(asked);
  sqlite3_close(handle);
  return version;
}

void check_old_runs(const Archive& archive) {
  REQUIRE(archive.runs().size() == 2);
  const RunRecord done = archive.load(kDone);
  CHECK(done.closing.end == RunEnd::done);
  CHECK(done.header.pack_name == "Thimble");
  CHECK(done.samples.size() == 125);
  CHECK(done.steps.size() == 2);
  CHECK(done.gaps.empty());
  const RunRecord killed = archive.load(kKilled);
  CHECK(killed.closing.end == RunEnd::running);
  CHECK(killed.samples.size() == 32);
  CHECK(killed.gaps.empty());
}

}  // namespace

TEST_CASE("An archive of version 1 is read without being changed") {
  const TemporaryFolder folder;
  const std::string path = old_archive(folder);
  check_old_runs(Archive(path, Archive::Access::read));
  CHECK(version_of(path) == 1);
}

TEST_CASE("An archive of version 1 that is written to becomes one of today, with all it held") {
  const TemporaryFolder folder;
  const std::string path = old_archive(folder);
  const analysis::Gap gap{2.5, 63.25, 1.2, 17.0, "the power failed"};
  std::string added;
  {
    Archive archive(path, Archive::Access::write);
    check_old_runs(archive);
    archive.put_gap(kKilled, 0, gap);
    archive.append(kKilled, example_samples(0, 3));
    archive.close_run(kKilled, {RunEnd::interrupted, "it died", true});
    added = archive.begin_run(example_header());
  }
  CHECK(version_of(path) == kArchiveVersion);
  const Archive archive(path, Archive::Access::read);
  CHECK(archive.runs().size() == 3);
  CHECK(archive.load(added).closing.end == RunEnd::running);
  const RunRecord killed = archive.load(kKilled);
  CHECK(killed.closing.end == RunEnd::interrupted);
  CHECK(killed.samples.size() == 35);
  REQUIRE(killed.gaps.size() == 1);
  CHECK(killed.gaps[0].start_s == gap.start_s);
  CHECK(killed.gaps[0].end_s == gap.end_s);
  CHECK(killed.gaps[0].current_a == gap.current_a);
  CHECK(killed.gaps[0].longest_on_s == gap.longest_on_s);
  CHECK(killed.gaps[0].why == gap.why);
}

TEST_CASE("Opening an archive for writing again migrates nothing twice") {
  const TemporaryFolder folder;
  const std::string path = old_archive(folder);
  for (int times = 0; times < 2; ++times) check_old_runs(Archive(path, Archive::Access::write));
  CHECK(version_of(path) == kArchiveVersion);
}

TEST_CASE("A run of version 2 knows nothing of ages and ticks, before and after it is migrated") {
  const TemporaryFolder folder;
  const std::string path = old_archive(folder, kOnAirFile);
  const auto check_old_run = [](const Archive& archive) {
    const RunRecord run = archive.load(kOnAir);
    REQUIRE(run.samples.size() == 139);
    for (const analysis::Sample& sample : run.samples) {
      REQUIRE_FALSE(sample.voltage_age_s);
      REQUIRE(sample.missed_ticks == 0);
    }
  };
  check_old_run(Archive(path, Archive::Access::read));
  CHECK(version_of(path) == 2);

  analysis::Sample sample = example_samples(139, 1).front();
  sample.voltage_age_s = 0.035;
  sample.missed_ticks = 2;
  sample.phase = analysis::Phase::dropped_out;
  {
    Archive archive(path, Archive::Access::write);
    check_old_run(archive);
    archive.append(kOnAir, std::vector{sample});
  }
  CHECK(version_of(path) == kArchiveVersion);
  const RunRecord run = Archive(path, Archive::Access::read).load(kOnAir);
  REQUIRE(run.samples.size() == 140);
  CHECK(run.samples.back().voltage_age_s == 0.035);
  CHECK(run.samples.back().missed_ticks == 2);
  CHECK(run.samples.back().phase == analysis::Phase::dropped_out);
}

TEST_CASE("A run of version 3 does not know what its radio asked for, and a later one does") {
  const TemporaryFolder folder;
  const std::string path = old_archive(folder, kTickedFile);
  {
    const RunRecord run = Archive(path, Archive::Access::read).load(kOnAir);
    CHECK(run.samples.size() == 571);
    CHECK(run.samples[300].voltage_age_s);
    CHECK(run.asked.empty());
  }
  CHECK(version_of(path) == 3);
  Archive(path, Archive::Access::write)
      .append_asked(kOnAir, std::vector<AskedRow>{{0, {2.5, 2.0}}});
  CHECK(version_of(path) == kArchiveVersion);
  const RunRecord run = Archive(path, Archive::Access::read).load(kOnAir);
  CHECK(run.samples.size() == 571);
  REQUIRE(run.asked.size() == 1);
  CHECK(run.asked[0].asked.start_s == 2.5);
}

TEST_CASE("The rows of version 4 are samples like those in blocks, and become a block") {
  const TemporaryFolder folder;
  const std::string path = old_archive(folder, kTappedFile);
  const RunRecord before = Archive(path, Archive::Access::read).load(kTapped);
  CHECK(version_of(path) == 4);
  REQUIRE(before.samples.size() == 371);
  CHECK(before.asked.size() == 132);
  CHECK(std::ranges::count_if(before.samples,
                              [](const auto& sample) { return sample.cell_v.size() == 4; }) == 17);
  {
    Archive archive(path, Archive::Access::write);
    archive.close_run(kTapped, {});
    archive.append(kTapped, example_samples(371, 5000));
    archive.close_run(kTapped, before.closing);
  }
  CHECK(version_of(path) == kArchiveVersion);
  const RunRecord after = Archive(path, Archive::Access::read).load(kTapped);
  REQUIRE(after.samples.size() == 5371);
  for (std::size_t i = 0; i < before.samples.size(); ++i) {
    REQUIRE(after.samples[i].time_s == before.samples[i].time_s);
    REQUIRE(after.samples[i].voltage_v == before.samples[i].voltage_v);
    REQUIRE(after.samples[i].cell_v == before.samples[i].cell_v);
    REQUIRE(after.samples[i].voltage_age_s == before.samples[i].voltage_age_s);
  }
  CHECK(after.asked.size() == before.asked.size());
  CHECK(after.steps.size() == before.steps.size());
}

TEST_CASE(
    "A run of version 4 or 5 is not sealed before something is written, and then says since when") {
  const TemporaryFolder folder;
  const std::string path = old_archive(folder, GENERATE(kTappedFile, kPackedFile));
  const auto check = [&path] { return check_archive(path, std::nullopt).runs.at(0); };
  CHECK(check().sound());
  CHECK(check().sha256.empty());
  const RunRecord before = Archive(path, Archive::Access::read).load(kTapped);
  { const Archive opened(path, Archive::Access::write); }
  CHECK(version_of(path) == kArchiveVersion);
  CHECK(check().sound());
  CHECK_FALSE(check().sha256.empty());
  CHECK_FALSE(check().sealed_late.empty());
  const RunRecord after = Archive(path, Archive::Access::read).load(kTapped);
  CHECK(after.samples.size() == before.samples.size());
  CHECK(after.closing.end == before.closing.end);
  CHECK(Database(path, path, SQLITE_OPEN_READONLY).integer("SELECT count(*) FROM sample") == 0);
}

TEST_CASE("A run of version 6 keeps its seal when its archive becomes one of today") {
  const TemporaryFolder folder;
  const std::string path = old_archive(folder, kSealedFile);
  const auto check = [&path] { return check_archive(path, std::nullopt); };
  const std::string hash = check().runs.at(0).sha256;
  CHECK(hash == "56f78ab098c0e9d97f7ed902ecefd986b189cfc77827a568a186872a023e867c");
  CHECK(version_of(path) == 6);
  { const Archive opened(path, Archive::Access::write); }
  CHECK(version_of(path) == kArchiveVersion);
  CHECK(check().sound());
  CHECK(check().runs.at(0).sha256 == hash);
  CHECK(check().runs.at(0).sealed_late.empty());
}

TEST_CASE("Blocks of version 7 have no hash of their own, are held against their seals and taken") {
  const TemporaryFolder folder;
  const std::string path = old_archive(folder, kPicturedFile);
  const std::string hash = check_archive(path, std::nullopt).runs.at(0).sha256;
  CHECK(version_of(path) == 7);
  const std::string club = folder.file("club of today.db");
  const auto merged = [&] {
    std::vector<Merged> all;
    merge_archives(club, path, false, [&](const MergedRun& run) { all.push_back(run.merged); });
    return all;
  };
  SECTION("as they are") {
    CHECK(merged() == std::vector{Merged::taken});
    CHECK(check_archive(club, std::nullopt).runs.at(0).sha256 == hash);
    CHECK(check_archive(club, std::nullopt).sound());
  }
  SECTION("in an archive that has become one of today") {
    { const Archive opened(path, Archive::Access::write); }
    CHECK(version_of(path) == kArchiveVersion);
    const Archive archive(path, Archive::Access::read);
    CHECK(archive.photos(kTapped).size() == 1);
    CHECK(archive.remarks(kTapped).size() == 1);
    CHECK(check_archive(path, std::nullopt).sound());
    CHECK(merged() == std::vector{Merged::taken});
  }
  SECTION("not when they are others") {
    run_sql(path, "UPDATE sample_block SET data = zeroblob(9)");
    CHECK(merged() == std::vector{Merged::altered});
  }
}

}  // namespace sagbench::reports
