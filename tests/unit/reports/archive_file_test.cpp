// What may be wrong with an archive file or its place, and what the person is told.
#include <fcntl.h>
#include <sched.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/mount.h>
#include <sys/resource.h>

#include <fstream>
#include <functional>

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "child_process.hpp"
#include "reports/archive_schema.hpp"

namespace sagbench::reports {
namespace {

namespace fs = std::filesystem;
using testing::contains;
using testing::drop_privileges;
using testing::example_header;
using testing::example_samples;
using testing::in_child;
using testing::Outcome;
using testing::outcome_of;
using testing::run_sql;
using testing::TemporaryFolder;

Outcome opening(const std::string& path, Archive::Access access) {
  return outcome_of([&] { const Archive archive(path, access); });
}

std::string text_of(const Outcome& outcome) {
  return (outcome.user ? "user: " : "io: ") + outcome.message;
}

std::string write_example(const std::string& path, int samples) {
  Archive archive(path, Archive::Access::write, Archive::Durability::process_crash);
  std::string id = archive.begin_run(example_header());
  archive.append(id, example_samples(0, samples));
  return id;
}

void write_text(const std::string& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}

/// A file system of one megabyte on `folder`, seen by this process only. False where that is not
/// allowed.
bool mount_small_disk(const fs::path& folder) {
  if (unshare(CLONE_NEWNS) != 0 && unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0) return false;
  if (mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) != 0) return false;
  return mount("tmpfs", folder.c_str(), "tmpfs", 0, "size=1m") == 0;
}

/// Appends until it fails, then frees room and tells what happened and how much of it can be read
/// back.
std::string fill(const std::string& path, const std::function<void()>& make_room) {
  Archive archive(path, Archive::Access::write);
  const std::string id = archive.begin_run(example_header());
  int kept = 0;
  Outcome full;
  while (full.message.empty() && kept < 1'000'000) {
    full = outcome_of([&] { archive.append(id, example_samples(kept, 100)); });
    if (full.message.empty()) kept += 100;
  }
  const bool all_there = archive.load(id).samples.size() == static_cast<std::size_t>(kept);
  make_room();
  archive.append(id, example_samples(kept, 100));
  const bool goes_on = archive.load(id).samples.size() == static_cast<std::size_t>(kept) + 100;
  return text_of(full) + (kept > 0 && all_there ? " [all kept]" : " [lost some]") +
         (goes_on ? " [goes on]" : " [stuck]");
}

}  // namespace

TEST_CASE("A missing file, a missing folder and a folder are the user's errors") {
  const TemporaryFolder folder;
  const std::string missing = folder.file("none.db");
  const Outcome no_file = opening(missing, Archive::Access::read);
  CHECK(no_file.user);
  CHECK(no_file.message == missing + ": no such file");
  CHECK_FALSE(fs::exists(missing));

  const Outcome no_folder = opening(folder.file("no/such/club.db"), Archive::Access::write);
  CHECK(no_folder.user);
  CHECK(contains(no_folder.message, "does not exist; create it first"));

  const auto access = GENERATE(Archive::Access::read, Archive::Access::write);
  const Outcome is_folder = opening(folder.path().string(), access);
  CHECK(is_folder.user);
  CHECK(contains(is_folder.message, "is a folder"));
  CHECK(opening("", access).user);
  CHECK(opening(std::string("club.db\0", 8), access).message ==
        "the archive's file name holds a NUL character; name another");
  const Outcome is_device = opening("/dev/null", access);
  CHECK(is_device.user);
  CHECK(contains(is_device.message, "name a file"));
}

TEST_CASE("A file of another kind is left alone") {
  const TemporaryFolder folder;
  const std::string path = folder.file("other.db");
  const std::string content = GENERATE(std::string("just some notes"), std::string(5000, '\0'),
                                       std::string(), std::string("SQLite format 3"));
  const auto access = GENERATE(Archive::Access::read, Archive::Access::write);
  if (content.empty() && access == Archive::Access::write)
    return;  // an empty file becomes an archive
  write_text(path, content);
  const Outcome refused = opening(path, access);
  CHECK(refused.user);
  CHECK(refused.message == path + ": is not a sagbench archive; name another file");
  std::ifstream file(path, std::ios::binary);
  CHECK(std::string(std::istreambuf_iterator<char>(file), {}) == content);
}

TEST_CASE("Another program's database is left alone") {
  const TemporaryFolder folder;
  const std::string path = folder.file("other.db");
  run_sql(path, "CREATE TABLE notes (text); INSERT INTO notes VALUES ('mine')");
  for (const auto access : {Archive::Access::read, Archive::Access::write}) {
    const Outcome refused = opening(path, access);
    CHECK(refused.user);
    CHECK(contains(refused.message, "is not a sagbench archive"));
  }
  run_sql(path, "INSERT INTO notes VALUES ('still usable')");
}

TEST_CASE("An archive of a newer version asks for a newer program") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  write_example(path, 1);
  run_sql(path, "PRAGMA user_version = " + std::to_string(kArchiveVersion + 1));
  for (const auto access : {Archive::Access::read, Archive::Access::write}) {
    const Outcome refused = opening(path, access);
    CHECK(refused.user);
    CHECK(contains(refused.message, path));
    CHECK(contains(refused.message, "newer sagbench (archive version"));
    CHECK(contains(refused.message, "knows " + std::to_string(kArchiveVersion) + ")"));
  }
}

TEST_CASE("The file's own marks are those the format states") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  write_example(path, 1);
  // SQLite file format, section 1.3: user version at offset 60, application id at 68, both
  // big-endian.
  std::ifstream file(path, std::ios::binary);
  const std::string header(std::istreambuf_iterator<char>(file), {});
  REQUIRE(header.size() > 100);
  CHECK(header.substr(60, 4) == std::string("\0\0\0", 3) + static_cast<char>(kArchiveVersion));
  CHECK(header.substr(68, 4) == "SAGB");
  // Bytes 18 and 19: 2 for write-ahead log.
  CHECK(header.substr(18, 2) == "\2\2");
}

TEST_CASE("Names that mean something to SQLite are only names") {
  const TemporaryFolder folder;
  const fs::path before = fs::current_path();
  fs::current_path(folder.path());
  const std::string name = GENERATE(":memory:", "file:a?mode=memory", "50% #1?.db");
  const std::string id = write_example(name, 3);
  CHECK(fs::exists(folder.path() / name));
  CHECK(Archive(name, Archive::Access::read).load(id).samples.size() == 3);
  fs::current_path(before);
}

TEST_CASE("A read-only file can be read, and writing says what is wrong") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const std::string id = write_example(path, 3);
  fs::permissions(path, fs::perms::owner_read | fs::perms::group_read | fs::perms::others_read);

  const std::string read = in_child([&] {
    drop_privileges();
    return std::to_string(Archive(path, Archive::Access::read).load(id).samples.size());
  });
  CHECK(read == "3");
  const std::string written = in_child([&] {
    drop_privileges();
    return text_of(opening(path, Archive::Access::write));  // before a run could begin
  });
  CHECK(contains(written, "io: " + path + ": cannot be written"));
}

TEST_CASE("An archive in a read-only folder can be read, unless records wait in its log") {
  const TemporaryFolder folder;
  const fs::path shelf = folder.path() / "she%lf?";
  fs::create_directory(shelf);
  const std::string path = (shelf / "club.db").string();
  const std::string id = write_example(path, 3);
  const bool unmerged = GENERATE(false, true);
  if (unmerged) write_text(path + "-wal", "records");
  fs::permissions(path, fs::perms::owner_read | fs::perms::group_read | fs::perms::others_read);
  fs::permissions(shelf, fs::perms::owner_read | fs::perms::owner_exec | fs::perms::others_read |
                             fs::perms::others_exec);

  const std::string read = in_child([&] {
    drop_privileges();
    std::string count = "nothing";
    const Outcome outcome = outcome_of([&] {
      count = std::to_string(Archive(path, Archive::Access::read).load(id).samples.size());
    });
    return outcome.message.empty() ? count : text_of(outcome);
  });
  if (unmerged) {
    CHECK(contains(read, "io: " + path + ": cannot be read here"));
    CHECK(contains(read, "club.db-wal"));
  } else {
    CHECK(read == "3");
  }
  const std::string created = in_child([&] {
    drop_privileges();
    return text_of(opening((shelf / "new.db").string(), Archive::Access::write));
  });
  CHECK(contains(created, "io: "));
  CHECK(contains(created, "check the permissions"));
  fs::permissions(shelf, fs::perms::all);
}

TEST_CASE("A folder that may not be entered is told from a missing file") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  write_example(path, 1);
  fs::permissions(folder.path(), fs::perms::none);
  const std::string told = in_child([&] {
    drop_privileges();
    return text_of(opening(path, Archive::Access::read));
  });
  CHECK(contains(told, "io: " + path + ": cannot be opened; check the permissions"));
  fs::permissions(folder.path(), fs::perms::all);
}

TEST_CASE("A reader leaves nothing beside the archive") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const std::string id = write_example(path, 3);
  CHECK(Archive(path, Archive::Access::read).load(id).samples.size() == 3);
  CHECK_FALSE(fs::exists(path + "-wal"));
  CHECK_FALSE(fs::exists(path + "-shm"));
}

TEST_CASE(
    "A full disk is reported, keeps what was acknowledged, and the archive goes on afterwards") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const std::string told = in_child([&]() -> std::string {
    if (!mount_small_disk(folder.path())) return "not allowed";
    const std::string ballast = folder.file("ballast");
    write_text(ballast, std::string(600'000, 'x'));
    return fill(path, [&] { fs::remove(ballast); });
  });
  if (told == "not allowed") {
    WARN("no small disk can be mounted here; the file size limit below stands in for it");
  } else {
    CHECK(told == "io: " + path +
                      ": the disk is full; free some space (what was acknowledged is kept) "
                      "[all kept] [goes on]");
  }
}

TEST_CASE("A write that the system refuses is reported, and what was acknowledged is kept") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const std::string told = in_child([&] {
    signal(SIGXFSZ, SIG_IGN);
    rlimit limit{};
    getrlimit(RLIMIT_FSIZE, &limit);
    limit.rlim_cur = 300'000;
    setrlimit(RLIMIT_FSIZE, &limit);
    return fill(path, [&] {
      limit.rlim_cur = limit.rlim_max;
      setrlimit(RLIMIT_FSIZE, &limit);
    });
  });
  INFO(told);
  CHECK(contains(told, "io: " + path + ": "));
  CHECK(contains(told, "[all kept] [goes on]"));
}

TEST_CASE("A damaged page is reported as damage") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const std::string id = write_example(path, 5000);
  {
    std::fstream file(path, std::ios::binary | std::ios::in | std::ios::out);
    constexpr std::streamoff kPage = 4096;
    const auto pages = static_cast<std::streamoff>(fs::file_size(path)) / kPage;
    REQUIRE(pages > 20);
    // Samples were written last.
    for (std::streamoff page = pages / 2; page < pages; ++page) {
      file.seekp(page * kPage);
      file << std::string(kPage, '\xa5');
    }
  }
  const Outcome refused = outcome_of([&] { Archive(path, Archive::Access::read).load(id); });
  CHECK_FALSE(refused.user);
  CHECK(contains(refused.message, path + ": is damaged"));
}

TEST_CASE("Two programs may create the same archive at the same moment") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const std::string other = in_child([&] { return write_example(path, 1); });
  const std::string own = write_example(path, 1);
  CHECK(own != other);
  CHECK(Archive(path, Archive::Access::read).runs().size() == 2);
}

}  // namespace sagbench::reports
