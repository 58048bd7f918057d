// Who holds a claim, and when it is free; of other processes see run_claim_process_test.cpp.
#include "reports/run_claim.hpp"

#include <filesystem>

#include "archive_fixture.hpp"
#include "catch.hpp"

namespace sagbench::reports {
namespace {

using testing::TemporaryFolder;

std::string new_archive(const TemporaryFolder& folder, const char* name = "club.db") {
  std::string path = folder.file(name);
  const Archive archive(path, Archive::Access::write);
  return path;
}

}  // namespace

TEST_CASE("A run is claimed once, and by nobody any more when the claim goes") {
  const TemporaryFolder folder;
  const std::string path = new_archive(folder);
  CHECK_FALSE(RunClaim::is_held(path, "a"));
  {
    const auto claim = RunClaim::take(path, "a");
    REQUIRE(claim);
    CHECK(RunClaim::is_held(path, "a"));
    CHECK_FALSE(RunClaim::take(path, "a"));
    CHECK(RunClaim::is_held(path, "a"));  // asking and trying took nothing away
  }
  CHECK_FALSE(RunClaim::is_held(path, "a"));
  CHECK(RunClaim::take(path, "a"));
}

TEST_CASE("A claim goes along when it is moved") {
  const TemporaryFolder folder;
  const std::string path = new_archive(folder);
  auto first = RunClaim::take(path, "a");
  REQUIRE(first);
  std::optional<RunClaim> second(std::move(*first));
  first.reset();
  CHECK(RunClaim::is_held(path, "a"));
  second.reset();
  CHECK_FALSE(RunClaim::is_held(path, "a"));
}

TEST_CASE("Claims of other runs and of other archives do not meet") {
  const TemporaryFolder folder;
  const std::string path = new_archive(folder);
  const std::string other = new_archive(folder, "other.db");
  const auto claim = RunClaim::take(path, "a");
  REQUIRE(claim);
  CHECK_FALSE(RunClaim::is_held(path, "b"));
  CHECK_FALSE(RunClaim::is_held(other, "a"));
  CHECK(RunClaim::take(other, "a"));
}

TEST_CASE("The same file under another name is the same archive") {
  const TemporaryFolder folder;
  const std::string path = new_archive(folder);
  std::filesystem::create_hard_link(path, folder.file("link.db"));
  const auto claim = RunClaim::take(path, "a");
  REQUIRE(claim);
  CHECK(RunClaim::is_held(folder.file("link.db"), "a"));
}

TEST_CASE("There is no claim on an archive that is not there") {
  const TemporaryFolder folder;
  const std::string path = folder.file("none.db");
  const auto taken = testing::outcome_of([&] { RunClaim::take(path, "a"); });
  CHECK(testing::contains(taken.message, path + ": cannot be looked at"));
}

}  // namespace sagbench::reports
