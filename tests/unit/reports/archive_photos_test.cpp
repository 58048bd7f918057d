// What is added beside a run, and what is deleted.
#include <sqlite3.h>

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "picture_fixture.hpp"
#include "reports/archive_check.hpp"
#include "reports/archive_space.hpp"
#include "reports/run_claim.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {
namespace {

using testing::contains;
using testing::example_header;
using testing::example_samples;
using testing::outcome_of;
using testing::png;
using testing::quarters_jpeg;
using testing::run_sql;
using testing::TemporaryFolder;

constexpr const char* kNow = "2026-03-02T10:00:00.000Z";
constexpr const char* kLater = "2026-03-02T10:00:00.001Z";

std::string ended_run(Archive& archive, int samples = 100) {
  const std::string id = archive.begin_run(example_header());
  archive.append(id, example_samples(0, samples));
  archive.append_asked(id, std::vector<AskedRow>(10, {0, {1.5, 0.25}}));
  archive.put_step(id, 0, {});
  archive.add_event(id, {1.0, "note", "begun"});
  archive.put_gap(id, 0, {2.5, 63.25, 1.2, 17.0, "the power failed"});
  archive.close_run(id, {RunEnd::done, "", true});
  return id;
}

Photo photo(const std::string& name, std::string data, const char* utc = kNow) {
  Photo found = *photo_of(name, std::move(data));
  found.utc = utc;
  found.caption = "Seen from above";
  return found;
}

std::string told(const std::string& path) {
  std::string text;
  for (const RunCheck& run : check_archive(path, std::nullopt).runs)
    for (const Alteration& alteration : run.alterations) text += words_on(alteration) + "; ";
  return text;
}

std::int64_t rows_of_runs(const std::string& path) {
  const Database database(path, path, SQLITE_OPEN_READONLY);
  std::int64_t rows = 0;
  for (const char* const counted :
       {"SELECT count(*) FROM run", "SELECT count(*) FROM instrument", "SELECT count(*) FROM note",
        "SELECT count(*) FROM step", "SELECT count(*) FROM event", "SELECT count(*) FROM gap",
        "SELECT count(*) FROM asked", "SELECT count(*) FROM sample",
        "SELECT count(*) FROM sample_block", "SELECT count(*) FROM seal",
        "SELECT count(*) FROM photo", "SELECT count(*) FROM remark"})
    rows += database.integer(counted);
  return rows;
}

}  // namespace

TEST_CASE("A run that has ended takes photos and remarks, and keeps its seal") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  Archive archive(path, Archive::Access::write);
  const std::string id = ended_run(archive);
  const std::string hash = sealed_hash(path, id);
  const Photo second = photo("b.png", png(5, 3), kLater), first = photo("a.jpg", quarters_jpeg());
  CHECK(archive.add_photo(id, second));
  CHECK(archive.add_photo(id, first));
  CHECK(archive.add_remark(id, {kLater, "It smelt."}));
  CHECK(archive.add_remark(id, {kNow, "It smelt."}));
  const RunRecord run = archive.load(id);
  REQUIRE(run.photos.size() == 2);
  CHECK(run.photos[0].name == "a.jpg");
  CHECK(run.photos[0].caption == "Seen from above");
  CHECK(run.photos[0].size == static_cast<std::int64_t>(first.data.size()));
  CHECK(run.photos[0].data.empty());
  CHECK(archive.photo_data(id, run.photos[1].sha256) == second.data);
  CHECK(run.remarks == std::vector<Remark>{{kNow, "It smelt."}, {kLater, "It smelt."}});
  CHECK(sealed_hash(path, id) == hash);
  CHECK(check_archive(path, std::nullopt).sound());
}

TEST_CASE(
    "The same photo or remark twice is kept once, with the first caption until another is put") {
  const TemporaryFolder folder;
  Archive archive(folder.file("club.db"), Archive::Access::write);
  const std::string id = ended_run(archive), other = ended_run(archive);
  Photo again = photo("b.png", png(5, 3), kLater);
  CHECK(archive.add_photo(id, photo("a.png", png(5, 3))));
  CHECK_FALSE(archive.add_photo(id, again));
  CHECK(archive.add_photo(other, again));
  CHECK(archive.add_remark(id, {kNow, "It smelt."}));
  CHECK_FALSE(archive.add_remark(id, {kNow, "It smelt."}));
  REQUIRE(archive.photos(id).size() == 1);
  CHECK(archive.photos(id)[0].name == "a.png");
  archive.put_caption(id, again.sha256, "From below");
  CHECK(archive.photos(id)[0].caption == "From below");
  CHECK(archive.photos(other)[0].caption == "Seen from above");
  CHECK(archive.remarks(id).size() == 1);
}

TEST_CASE("What was altered beside a run is told by name") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  {
    Archive archive(path, Archive::Access::write);
    const std::string id = ended_run(archive);
    archive.add_photo(id, photo("a.png", png(5, 3)));
    archive.add_photo(id, photo("b.png", png(6, 3)));
    archive.add_remark(id, {kNow, "It smelt."});
  }
  CHECK(told(path).empty());
  SECTION("a photo") {
    run_sql(path, "UPDATE photo SET data = zeroblob(9) WHERE name = 'b.png'");
    CHECK(told(path) == "photo b.png differs; ");
  }
  SECTION("a remark") {
    run_sql(path, "UPDATE remark SET text = 'It did not smell.'");
    CHECK(told(path) == std::string("the remark of ") + kNow + " differs; ");
  }
}

TEST_CASE("A run that does not exist takes nothing") {
  const TemporaryFolder folder;
  Archive archive(folder.file("club.db"), Archive::Access::write);
  const auto refused = [&](auto&& work) {
    const auto outcome = outcome_of(work);
    CHECK(outcome.user);
    CHECK(contains(outcome.message, "no run \"20260301-080509-ffff\""));
  };
  const std::string none = "20260301-080509-ffff";
  refused([&] { archive.add_photo(none, photo("a.png", png(5, 3))); });
  refused([&] { archive.add_remark(none, {kNow, "Hm."}); });
  refused([&] { archive.remove(none, kNow); });
  refused([&] { archive.photo_data(none, ""); });
}

TEST_CASE("Of a run that was deleted nothing is left but that it was") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  Archive archive(path, Archive::Access::write);
  const std::string id = ended_run(archive, 5000), other = ended_run(archive);
  const std::string hash = sealed_hash(path, id);
  archive.add_photo(id, photo("a.png", png(5, 3)));
  archive.add_remark(id, {kNow, "It smelt."});
  const RunRecord kept = archive.load(id), before = archive.load(other);
  archive.remove(id, kNow);
  CHECK_FALSE(archive.has(id));
  CHECK(archive.deleted_utc(id) == kNow);
  CHECK_FALSE(archive.deleted_utc(other));
  CHECK(check_archive(path, std::nullopt).sound());
  CHECK(archive.load(other).samples.size() == before.samples.size());
  {
    const Database database(path, path, SQLITE_OPEN_READONLY);
    CHECK(database.integer("SELECT sha256 = (SELECT sha256 FROM deleted) FROM run") == 0);
    Query query = database.query("SELECT sha256 FROM deleted");
    REQUIRE(query.step());
    CHECK(query.text(0) == hash);
  }
  SECTION("no other run gets its id") {
    CHECK(archive.begin_run(example_header()) != id);
  }
  SECTION("it can be taken back") {
    archive.restore(kept);
    CHECK(archive.load(id).samples.size() == kept.samples.size());
    CHECK(archive.load(id).remarks == kept.remarks);
    CHECK_FALSE(archive.deleted_utc(id));
  }
  SECTION("the last run as well") {
    archive.remove(other, kNow);
    CHECK(rows_of_runs(path) == 0);
  }
}

TEST_CASE("Room that deleted runs left goes back to the disk, but not under a run that goes on") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  std::string going_on;
  {
    Archive archive(path, Archive::Access::write);
    const std::string id = ended_run(archive, 50000);
    ended_run(archive);
    archive.remove(id, kNow);
    going_on = archive.begin_run(example_header());
  }
  const auto size = std::filesystem::file_size(path);
  {
    const auto claim = RunClaim::take(path, going_on);
    const auto outcome = outcome_of([&] { compact(path); });
    CHECK(outcome.user);
    CHECK(contains(outcome.message, going_on + " is going on"));
    CHECK(std::filesystem::file_size(path) == size);
  }
  refuse_while_compacting(path);
  CHECK(compact(path) > 0);
  CHECK(std::filesystem::file_size(path) < size);
  CHECK(check_archive(path, std::nullopt).sound());
  CHECK(compact(path) == 0);
}

TEST_CASE("No run begins while an archive is being compacted") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  { const Archive made(path, Archive::Access::write); }
  const auto compacting = RunClaim::take(path, "compacting");
  CHECK(contains(outcome_of([&] { refuse_while_compacting(path); }).message, "being compacted"));
  CHECK(contains(outcome_of([&] { compact(path); }).message, "being compacted by another"));
}

}  // namespace sagbench::reports
