// A run that another living process writes is never taken for dead; a dead one's is free at once.
#include <signal.h>
#include <sys/resource.h>

#include <filesystem>

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "child_process.hpp"
#include "reports/run_claim.hpp"

namespace sagbench::reports {
namespace {

using testing::TemporaryFolder;

std::string new_archive(const TemporaryFolder& folder) {
  std::string path = folder.file("club.db");
  const Archive archive(path, Archive::Access::write);
  return path;
}

}  // namespace

// With it comes the check of undefined behaviour, which looks at an exception through a pipe: a
// process that may have no file has none.
#ifndef __SANITIZE_ADDRESS__
TEST_CASE("Where the system gives no mark, nobody takes a run for unclaimed") {
  const TemporaryFolder folder;
  const std::string path = new_archive(folder);
  const std::string said = testing::in_child([&] {
    const rlimit no_more_files{0, 0};
    setrlimit(RLIMIT_NOFILE, &no_more_files);
    return std::string(RunClaim::take(path, "a") ? "taken" : "held by another");
  });
  CHECK(said.find(path + ": no mark can be set that a run is being written (") !=
        std::string::npos);
}
#endif

TEST_CASE("A claim lives and dies with its process, kill -9 included") {
  const TemporaryFolder folder;
  const std::string path = new_archive(folder);
  int ends[2];
  REQUIRE(pipe(ends) == 0);
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    const auto claim = RunClaim::take(path, "a");
    if (!claim || write(ends[1], "+", 1) != 1) _exit(1);
    for (;;) pause();
  }
  char byte = 0;
  REQUIRE(read(ends[0], &byte, 1) == 1);
  CHECK(RunClaim::is_held(path, "a"));
  CHECK_FALSE(RunClaim::take(path, "a"));
  kill(child, SIGKILL);
  int status = 0;
  waitpid(child, &status, 0);
  CHECK_FALSE(RunClaim::is_held(path, "a"));
  CHECK(RunClaim::take(path, "a"));
  close(ends[0]);
  close(ends[1]);
}

TEST_CASE("What a link leads to is the same archive") {
  const TemporaryFolder folder;
  const std::string path = new_archive(folder);
  std::filesystem::create_symlink(path, folder.file("link.db"));
  const auto claim = RunClaim::take(path, "a");
  REQUIRE(claim);
  CHECK(RunClaim::is_held(folder.file("link.db"), "a"));
}

}  // namespace sagbench::reports
