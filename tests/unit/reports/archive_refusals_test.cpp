// What an archive refuses to take in or to hand out, word by word.

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "reports/archive.hpp"

namespace sagbench::reports {
namespace {

using testing::example_header;
using testing::example_samples;
using testing::outcome_of;
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

}  // namespace sagbench::reports
