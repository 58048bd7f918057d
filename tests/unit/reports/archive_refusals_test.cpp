// What an archive refuses to take in or to hand out, word by word.

#include <cmath>

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "reports/archive.hpp"
#include "reports/archive_samples.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {
namespace {

using testing::example_header;
using testing::example_samples;
using testing::outcome_of;
using testing::run_sql;
using testing::TemporaryFolder;

std::string ended_run(Archive& archive) {
  const std::string id = archive.begin_run(example_header());
  archive.append(id, example_samples(0, 10));
  archive.close_run(id, {RunEnd::done, "", true});
  return id;
}

}  // namespace

TEST_CASE("a run is taken in once, when it has ended, and as it was sealed") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db"), other = folder.file("other.db");
  Archive archive(path, Archive::Access::write), target(other, Archive::Access::write);
  const std::string id = ended_run(archive);
  RunRecord record = archive.load(id);
  const auto said = [&](Archive& into) {
    const auto outcome = outcome_of([&] { into.restore(record); });
    CHECK(outcome.user);
    return outcome.message;
  };
  CHECK(said(archive) == path + ": there is a run " + id + " already");
  record.closing.reason = "somebody wrote this afterwards";
  CHECK(said(target) == other + ": run " + id + " is refused: its content is not what was sealed");
  CHECK_FALSE(target.has(id));
  record.closing.end = RunEnd::running;
  CHECK(said(target) ==
        other + ": run " + id + " has not ended yet; it can be taken in once it has");
}

TEST_CASE("a photo that somebody removed meanwhile is said to be gone") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  Archive archive(path, Archive::Access::write);
  const std::string id = ended_run(archive);
  const auto outcome = outcome_of([&] { archive.photo_data(id, "00ff"); });
  CHECK(outcome.user);
  CHECK(outcome.message == path + ": run " + id + " has no photo 00ff any more");
}

TEST_CASE("a run that lost a sample behind the archive's back is not packed as if it were whole") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  Archive archive(path, Archive::Access::write);
  const std::string id = archive.begin_run(example_header());
  archive.append(id, example_samples(0, 100));
  run_sql(path, "DELETE FROM sample WHERE seq = 50");
  const Database database(path, path, SQLITE_OPEN_READWRITE);
  const auto outcome = outcome_of([&] { pack_rows(database, 1, true); });
  CHECK_FALSE(outcome.user);
  CHECK(outcome.message == path +
                               ": is damaged; restore it from a copy (only 99 are left of the "
                               "samples 0 to 99)");
  archive.close_run(id, {RunEnd::done, "", true});
  CHECK(database.integer("SELECT count(*) FROM sample") == 99);
  CHECK(database.integer("SELECT count(*) FROM run WHERE sha256 IS NULL") == 1);
}

TEST_CASE("a current that is no number was not asked for by any radio") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  Archive archive(path, Archive::Access::write);
  const std::string id = archive.begin_run(example_header());
  for (const AskedRow& row : {AskedRow{0, {NAN, 2.0}}, AskedRow{0, {1.0, INFINITY}}}) {
    const auto outcome = outcome_of([&] { archive.append_asked(id, std::vector{row}); });
    CHECK(outcome.message == path + ": refuses what the radio of run " + id +
                                 " asked for: a value is not a finite number");
  }
  CHECK(archive.load(id).asked.empty());
}

TEST_CASE("an archive of a version that there never was is refused") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  { const Archive made(path, Archive::Access::write); }
  run_sql(path, "PRAGMA user_version = 0");
  for (const auto access : {Archive::Access::read, Archive::Access::write}) {
    const auto outcome = outcome_of([&] { const Archive opened(path, access); });
    CHECK(outcome.user);
    CHECK(outcome.message == path + ": has the unknown archive version 0");
  }
}

}  // namespace sagbench::reports
