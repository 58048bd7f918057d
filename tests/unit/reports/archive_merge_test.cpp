// What one archive takes over from another, and what it does not.
#include "reports/archive_merge.hpp"

#include <signal.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "child_process.hpp"
#include "reports/archive_check.hpp"
#include "reports/sha256.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {
namespace {

namespace fs = std::filesystem;
using testing::contains;
using testing::example_header;
using testing::example_samples;
using testing::in_child;
using testing::Outcome;
using testing::outcome_of;
using testing::run_sql;
using testing::TemporaryFolder;

constexpr const char* kData = SAGBENCH_TEST_DATA "/unit/reports/data/archive-version-";
constexpr const char* kOfOldFiles = "20260620-080000-fbfe";

std::string bytes_of(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

std::string old_archive(const TemporaryFolder& folder, int version, const std::string& name) {
  std::string path = folder.file(name);
  fs::copy_file(kData + std::to_string(version) + ".db", path);
  fs::permissions(path, fs::perms::owner_all);
  return path;
}

/// With rows in every table, and a block that is full.
std::string add_run(Archive& archive, const std::string& name, bool ended = true) {
  RunHeader header = example_header();
  header.pack_name = name;
  const std::string id = archive.begin_run(header);
  archive.append(id, example_samples(0, 4200));
  archive.append_asked(id, std::vector<AskedRow>(100, {0, {1.5, 0.25}}));
  archive.put_step(id, 0, {});
  archive.add_event(id, {1.0, "note", "begun"});
  archive.put_gap(id, 0, {2.5, 63.25, 1.2, 17.0, "the power failed"});
  if (ended) archive.close_run(id, {RunEnd::done, "", true});
  return id;
}

struct Club {
  TemporaryFolder folder;
  std::string path = folder.file("club.db"), other = folder.file("other.db");
  std::vector<std::string> ids;  // of the other

  Club() {
    Archive archive(other, Archive::Access::write);
    for (const char* name : {"One", "Two", "Three"}) ids.push_back(add_run(archive, name));
  }
};

using Fates = std::map<std::string, Merged>;

Fates merged(const std::string& path, const std::string& from, std::string* why = nullptr,
             bool again = false) {
  Fates fates;
  merge_archives(path, from, again, [&](const MergedRun& run) {
    fates[run.id] = run.merged;
    CHECK(fates.size() == run.number);
    if (why != nullptr && !run.why.empty()) *why += run.why + "\n";
  });
  return fates;
}

std::map<std::string, std::string> hashes(const std::string& path) {
  std::map<std::string, std::string> found;
  for (const RunCheck& run : check_archive(path, std::nullopt).runs) {
    CHECK(run.sound());
    found[run.id] = run.sha256 + run.sealed_late;
  }
  return found;
}

}  // namespace

TEST_CASE(
    "Runs are taken over with their seals, and the source is as it was, the second time changes "
    "nothing") {
  Club club;
  for (const std::string& id : club.ids)
    Archive(club.other, Archive::Access::write)
        .add_remark(id, {"2026-03-02T08:00:00.000Z", "warm"});
  const std::string before = bytes_of(club.other);
  { const Archive made(club.path, Archive::Access::write); }
  Archive(club.path, Archive::Access::write)
      .begin_run(example_header());  // keys differ from then on
  const Fates first = merged(club.path, club.other);
  CHECK(first == Fates{{club.ids[0], Merged::taken},
                       {club.ids[1], Merged::taken},
                       {club.ids[2], Merged::taken}});
  auto here = hashes(club.path);
  CHECK(here.size() == 4);
  for (const auto& [id, hash] : hashes(club.other)) CHECK(here[id] == hash);
  const Database database(club.path, club.path, SQLITE_OPEN_READONLY);
  CHECK(database.integer("SELECT count(*) FROM remark JOIN run USING (run)") == 3);
  const std::string after = bytes_of(club.path);
  for (const auto& [id, fate] : merged(club.path, club.other)) CHECK(fate == Merged::known);
  CHECK(bytes_of(club.path) == after);
  CHECK(bytes_of(club.other) == before);
  CHECK(!fs::exists(club.other + "-wal"));
}

TEST_CASE("Every record comes over whole") {
  Club club;
  merged(club.path, club.other);
  const Archive here(club.path, Archive::Access::read), there(club.other, Archive::Access::read);
  for (const std::string& id : club.ids) {
    const RunRecord one = here.load(id), other = there.load(id);
    CHECK(one.samples.size() == 4200);
    CHECK(one.header.pack_name == other.header.pack_name);
    CHECK(one.seal.sha256 == other.seal.sha256);
    CHECK(Archive::seals_of(one, one.samples) == Archive::seals_of(other, other.samples));
  }
}

TEST_CASE(
    "Sealed runs of an older archive keep their hash, and those without a seal are sealed late") {
  const TemporaryFolder folder;
  const int version = GENERATE(4, 5, 6);
  const std::string other = old_archive(folder, version, "old.db"), path = folder.file("club.db");
  const std::string before = bytes_of(other);
  const Fates fates = merged(path, other);
  CHECK(fates == Fates{{kOfOldFiles, version < 6 ? Merged::late : Merged::taken}});
  CHECK(bytes_of(other) == before);
  const RunCheck run = check_archive(path, std::nullopt).runs.at(0);
  CHECK(run.sound());
  CHECK(run.sealed_late.empty() == (version == 6));
  if (version == 6) CHECK(run.sha256 == check_archive(other, std::nullopt).runs.at(0).sha256);
  CHECK(merged(path, other) == Fates{{kOfOldFiles, Merged::known}});
}

TEST_CASE("When a run was sealed late stays known, and makes no other run of it") {
  const TemporaryFolder folder;
  const std::string other = old_archive(folder, 5, "old.db"), path = folder.file("club.db");
  { const Archive sealed(other, Archive::Access::write); }
  CHECK(merged(path, other) == Fates{{kOfOldFiles, Merged::taken}});
  CHECK(hashes(path) == hashes(other));
  // As if it had been sealed here at another time.
  run_sql(path, "UPDATE run SET sealed_late_utc = '2026-01-01T00:00:00Z', sha256 = 'other'");
  CHECK(merged(path, other) == Fates{{kOfOldFiles, Merged::known}});
}

TEST_CASE("Two runs of one id stay as they are, the others are taken") {
  Club club;
  merged(club.path, club.other);
  {
    Archive archive(club.other, Archive::Access::write);
    archive.close_run(club.ids[1], {RunEnd::operator_stop, "another end", true});
    club.ids.push_back(add_run(archive, "Four"));
  }
  const auto here = hashes(club.path), there = hashes(club.other);
  CHECK(merged(club.path, club.other) == Fates{{club.ids[0], Merged::known},
                                               {club.ids[1], Merged::conflict},
                                               {club.ids[2], Merged::known},
                                               {club.ids[3], Merged::taken}});
  CHECK(hashes(club.path).at(club.ids[1]) == here.at(club.ids[1]));
  CHECK(hashes(club.other) == there);
}

TEST_CASE("What is not what was sealed is told and left out, the others are taken") {
  Club club;
  run_sql(club.other, "UPDATE event SET text = 'nothing' WHERE run = 1");
  run_sql(club.other, "UPDATE sample_block SET data = zeroblob(9) WHERE run = 3 AND seq = 0");
  std::string why;
  CHECK(merged(club.path, club.other, &why) == Fates{{club.ids[0], Merged::altered},
                                                     {club.ids[1], Merged::taken},
                                                     {club.ids[2], Merged::altered}});
  CHECK(contains(why, "event 0 differs\n"));
  CHECK(contains(why, "samples 0 to 4095 (0.0 s to 409.5 s) cannot be read\n"));
  CHECK(hashes(club.path).size() == 1);
}

TEST_CASE("A run of an older archive that cannot be read keeps no other from being taken") {
  Club club;
  run_sql(club.other, "UPDATE run SET sha256 = NULL");
  run_sql(club.other, "UPDATE sample_block SET data = zeroblob(9) WHERE run = 1 AND seq = 0");
  std::string why;
  CHECK(merged(club.path, club.other, &why) == Fates{{club.ids[0], Merged::altered},
                                                     {club.ids[1], Merged::late},
                                                     {club.ids[2], Merged::late}});
  CHECK(contains(why, "it cannot be read ("));
}

TEST_CASE("A run that has not ended, or whose id is none, is left out") {
  Club club;
  run_sql(club.other, "UPDATE run SET id = '../../etc' WHERE run = 2");
  const std::string open =
      add_run(*std::make_unique<Archive>(club.other, Archive::Access::write), "Going on", false);
  std::string why;
  const Fates fates = merged(club.path, club.other, &why);
  CHECK(fates.at(open) == Merged::unended);
  CHECK(why == "its id is none that sagbench gives\n");
  CHECK(fates.at("../../etc") == Merged::altered);
  CHECK(hashes(club.path).size() == 2);
}

TEST_CASE("What was put beside a run comes over as well, to a run that is known too") {
  Club club;
  const std::string &id = club.ids[0], bytes = "the bytes of a picture";
  merged(club.path, club.other);
  {
    Archive other(club.other, Archive::Access::write), here(club.path, Archive::Access::write);
    here.add_remark(id, {"2026-03-02T08:00:00.000Z", "mine"});
    other.add_remark(id, {"2026-03-02T09:00:00.000Z", "theirs"});
    other.add_photo(
        id, {hash_of(bytes), "2026-03-02T08:00:00.000Z", "a.png", "image/png", "", 22, bytes});
    other.add_photo(
        id, {"not its hash", "2026-03-02T08:00:00.000Z", "b.png", "image/png", "", 22, bytes});
  }
  for (int time = 0; time < 2; ++time) {
    CHECK(merged(club.path, club.other).at(id) == Merged::known);
    const Archive here(club.path, Archive::Access::read);
    CHECK(here.remarks(id).size() == 2);
    REQUIRE(here.photos(id).size() == 1);
    CHECK(here.photo_data(id, hash_of(bytes)) == bytes);
  }
}

TEST_CASE("What was deleted here does not come back by a merge") {
  Club club;
  merged(club.path, club.other);
  Archive(club.path, Archive::Access::write).remove(club.ids[0], "2026-03-02T08:00:00Z");
  std::string why;
  CHECK(merged(club.path, club.other, &why).at(club.ids[0]) == Merged::deleted);
  CHECK(why == "2026-03-02\n");
  CHECK(hashes(club.path).size() == 2);
  CHECK(merged(club.path, club.other, nullptr, true).at(club.ids[0]) == Merged::taken);
  CHECK(merged(club.path, club.other).at(club.ids[0]) == Merged::known);
}

TEST_CASE("A merge that was killed goes on when it is called again") {
  Club club;
  run_sql(club.other, "UPDATE run SET sha256 = NULL WHERE run = 1");  // taken first, by itself
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    merge_archives(club.path, club.other, false, [](const MergedRun&) { raise(SIGKILL); });
    _exit(0);
  }
  int status = 0;
  waitpid(child, &status, 0);
  REQUIRE(WIFSIGNALED(status));
  CHECK(hashes(club.path).size() == 1);
  CHECK(merged(club.path, club.other) == Fates{{club.ids[0], Merged::known},
                                               {club.ids[1], Merged::taken},
                                               {club.ids[2], Merged::taken}});
  CHECK(check_archive(club.path, std::nullopt).sound());
}

TEST_CASE("A source that is none is refused in one line, and no archive is made for it") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db"), other = folder.file("other.db");
  const auto refused = [&](const std::string& from) {
    const Outcome outcome = outcome_of([&] { merged(path, from); });
    CHECK(outcome.user);
    CHECK(!contains(outcome.message, "\n"));
    CHECK(contains(outcome.message, from));
    CHECK(!fs::exists(path));
    return outcome.message;
  };
  CHECK(contains(refused(other), "no such file"));
  CHECK(contains(refused(folder.path().string()), "is a folder"));
  std::ofstream(other) << std::string(5000, 'x');
  CHECK(contains(refused(other), "is not a sagbench archive"));
  fs::remove(other);
  { const Archive made(other, Archive::Access::write); }
  run_sql(other, "PRAGMA user_version = 99");
  CHECK(contains(refused(other), "newer sagbench (archive version 99"));
}

TEST_CASE("An archive is not merged into itself, whatever it is called") {
  Club club;
  fs::create_symlink(club.other, club.path);
  const std::string link = club.folder.file("hard.db");
  fs::create_hard_link(club.other, link);
  for (const std::string& path : {club.other, club.path, link}) {
    const Outcome outcome = outcome_of([&] { merged(path, club.other); });
    CHECK(outcome.user);
    CHECK(contains(outcome.message, "is the archive itself"));
  }
}

TEST_CASE("A source that may only be read is merged, and figures it has kept stay behind") {
  Club club;
  run_sql(club.other, "INSERT INTO analysis VALUES (1, '', '', '', '', '{}')");
  const fs::path shelf = club.folder.path() / "she%lf?";
  fs::create_directory(shelf);
  const std::string other = (shelf / "other.db").string();
  fs::rename(club.other, other);
  const auto readable = fs::perms::owner_read | fs::perms::group_read | fs::perms::others_read;
  fs::permissions(other, readable);
  const bool whole_folder = GENERATE(false, true);
  fs::permissions(shelf, whole_folder ? readable | fs::perms::others_exec : fs::perms::all);
  fs::permissions(club.folder.path(), fs::perms::all);

  const std::string told = in_child([&] {
    testing::drop_privileges();
    return std::to_string(merged(club.path, other).size());
  });
  CHECK(told == "3");
  const Database database(club.path, club.path, SQLITE_OPEN_READONLY);
  CHECK(database.integer("SELECT count(*) FROM run JOIN seal USING (run) WHERE part = 'run'") == 3);
  CHECK(database.integer("SELECT count(*) FROM analysis") == 0);
  fs::permissions(shelf, fs::perms::all);
}

TEST_CASE("Of a source with damaged pages what is whole is taken, and no page is trusted") {
  Club club;
  const auto there = hashes(club.other);
  const std::string whole = bytes_of(club.other);
  constexpr std::size_t kPage = 4096;
  for (std::size_t page = 1; page < whole.size() / kPage; ++page) {
    std::string damaged = whole;
    damaged.replace(page * kPage, 1000, 1000, '\xa5');
    std::ofstream(club.other, std::ios::binary | std::ios::trunc) << damaged;
    fs::remove(club.path);
    const Outcome outcome = outcome_of([&] { merged(club.path, club.other); });
    CAPTURE(page, outcome.message);
    CHECK(!contains(outcome.message, "\n"));
    if (!fs::exists(club.path)) continue;
    for (const auto& [id, hash] : hashes(club.path)) CHECK(there.at(id) == hash);
  }
}

}  // namespace sagbench::reports
