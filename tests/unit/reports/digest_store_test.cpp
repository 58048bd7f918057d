// Kept figures are used only where run and program are those that made them, and nobody is kept
// from reading where nothing can be kept.
#include "reports/digest_store.hpp"

#include <filesystem>
#include <string>

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "child_process.hpp"
#include "reports/archive_check.hpp"
#include "reports/archive_schema.hpp"

namespace sagbench::reports {
namespace {

namespace fs = std::filesystem;
using testing::example_header;
using testing::example_samples;
using testing::run_sql;
using testing::TemporaryFolder;

constexpr const char* kNow = "2026-03-02T10:00:00Z";
const DigestMaker kMaker{"c0de", "sagbench 0.1.0"};

std::string write_run(const std::string& path) {
  Archive archive(path, Archive::Access::write);
  const std::string id = archive.begin_run(example_header());
  archive.append(id, example_samples(0, 10));
  archive.close_run(id, {RunEnd::done, "", true});
  return id;
}

RunDigest digest(const std::string& id) {
  RunDigest made;
  made.run_id = id;
  made.utc = "2026-03-01T08:05:09Z";
  made.capacity = analysis::Finding<analysis::Capacity>::missing("no discharge");
  made.discharged_ah = 1.0 / 3.0;
  return made;
}

std::optional<RunDigest> found(const std::string& path, const std::string& id,
                               const DigestMaker& maker = kMaker) {
  return DigestStore(path, maker).find(id).digest;
}

void keep(const std::string& path, const std::string& id) {
  DigestStore store(path, kMaker);
  store.keep(digest(id), store.find(id).sha256, kNow);
}

}  // namespace

TEST_CASE("A digest that was kept is found again, by the same program only") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const std::string id = write_run(path);
  CHECK_FALSE(found(path, id));
  keep(path, id);
  REQUIRE(found(path, id));
  CHECK(found(path, id)->discharged_ah == 1.0 / 3.0);
  CHECK(found(path, id)->capacity.why() == "no discharge");
  CHECK_FALSE(found(path, id, {"another", kMaker.software}));
  CHECK(check_archive(path, std::nullopt).sound());
}

TEST_CASE("A digest is of no use once its run is another") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const std::string id = write_run(path);
  keep(path, id);
  Archive archive(path, Archive::Access::write);
  archive.close_run(id, {});
  CHECK_FALSE(found(path, id));
  keep(path, id);  // it goes on: nothing to be kept
  archive.append(id, example_samples(10, 1));
  archive.close_run(id, {RunEnd::done, "", true});
  CHECK_FALSE(found(path, id));
  keep(path, id);
  CHECK(found(path, id));
}

TEST_CASE("A digest that was tampered with is computed anew") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const std::string id = write_run(path);
  keep(path, id);
  run_sql(path, "UPDATE analysis SET digest_json = '{\"run\":1}'");
  CHECK_FALSE(found(path, id));
  keep(path, id);
  CHECK(found(path, id));
}

TEST_CASE("An archive of an older version is read, and stays one") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  fs::copy_file(SAGBENCH_TEST_DATA "/unit/reports/data/archive-version-6.db", path);
  fs::permissions(path, fs::perms::owner_all);
  const std::string id = Archive(path, Archive::Access::read).runs().at(0).id;
  keep(path, id);
  CHECK_FALSE(found(path, id));
  CHECK(Database(path, path, SQLITE_OPEN_READONLY).integer("PRAGMA user_version") == 6);
}

TEST_CASE("Where nothing can be written, nothing is kept and all can be read") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const std::string id = write_run(path);
  const bool folder_too = GENERATE(false, true);
  fs::permissions(path, fs::perms::owner_read | fs::perms::others_read);
  if (folder_too) {
    fs::permissions(folder.path(), fs::perms::owner_read | fs::perms::owner_exec |
                                       fs::perms::others_read | fs::perms::others_exec);
  }
  const std::string told = testing::in_child([&] {
    testing::drop_privileges();
    keep(path, id);
    return found(path, id) ? std::string("kept") : std::string("read");
  });
  CHECK(told == "read");
}

TEST_CASE("While another program writes, nothing is kept and nobody waits") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const std::string id = write_run(path);
  Archive other(path, Archive::Access::write);
  other.transaction([&] {
    other.add_event(other.begin_run(example_header()), {0.0, "note", "busy"});
    keep(path, id);
  });
  CHECK_FALSE(found(path, id));
  keep(path, id);
  CHECK(found(path, id));
}

}  // namespace sagbench::reports
