// Guarantee 5 of the design: what was acknowledged is in the archive after kill -9.
#include <signal.h>

#include <chrono>
#include <thread>

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "child_process.hpp"

namespace sagbench::reports {
namespace {

using testing::example_header;
using testing::example_sample;
using testing::example_samples;
using testing::TemporaryFolder;

constexpr int kBatch = 30;

/// Appends batches for ever and writes one byte into `acknowledge` after each.
[[noreturn]] void append_for_ever(const std::string& path, Archive::Durability durability,
                                  int acknowledge) {
  try {
    Archive archive(path, Archive::Access::write, durability);
    const std::string id = archive.begin_run(example_header());
    for (int first = 0;; first += kBatch) {
      archive.append(id, example_samples(first, kBatch));
      if (write(acknowledge, "+", 1) != 1) _exit(1);
    }
  } catch (const std::exception&) {
    _exit(2);
  }
}

/// Kills the child when it has acknowledged `wanted` batches and `extra` has passed; returns all it
/// acknowledged.
int acknowledged_before_kill(pid_t child, int acknowledge, int wanted,
                             std::chrono::microseconds extra) {
  int count = 0;
  char byte = 0;
  while (count < wanted && read(acknowledge, &byte, 1) == 1) ++count;
  std::this_thread::sleep_for(extra);
  kill(child, SIGKILL);
  while (read(acknowledge, &byte, 1) == 1) ++count;
  int status = 0;
  waitpid(child, &status, 0);
  CHECK(WIFSIGNALED(status));  // it was still at work
  return count;
}

}  // namespace

TEST_CASE("guarantee 5: every sample acknowledged before kill -9 is in the archive") {
  struct Case {
    Archive::Durability durability;
    int wanted;  // batches acknowledged before the kill: from the very first to beyond a checkpoint
                 // of the log
  };
  constexpr auto kCrash = Archive::Durability::process_crash;
  constexpr auto kPower = Archive::Durability::power_loss;
  const auto [durability, wanted] =
      GENERATE(Case{kCrash, 0}, Case{kCrash, 1}, Case{kCrash, 7}, Case{kCrash, 150},
               Case{kCrash, 4000}, Case{kPower, 0}, Case{kPower, 7}, Case{kPower, 400});
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  { const Archive created(path, Archive::Access::write); }
  int ends[2];
  REQUIRE(pipe(ends) == 0);
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) append_for_ever(path, durability, ends[1]);
  close(ends[1]);
  const int batches = acknowledged_before_kill(child, ends[0], wanted,
                                               std::chrono::microseconds(137 * wanted % 1000));
  close(ends[0]);
  REQUIRE(batches >= wanted);

  const Archive archive(path, Archive::Access::read);
  const auto runs = archive.runs();
  if (batches == 0 && runs.empty()) return;  // killed before the run began
  REQUIRE(runs.size() == 1);
  const RunRecord record = archive.load(runs[0].id);
  CAPTURE(batches, record.samples.size());
  CHECK(record.closing.end == RunEnd::running);
  CHECK(record.samples.size() >= static_cast<std::size_t>(batches * kBatch));
  CHECK(record.samples.size() % kBatch == 0);  // whole batches only
  for (std::size_t i = 0; i < record.samples.size(); ++i) {
    REQUIRE(record.samples[i].voltage_v == example_sample(static_cast<int>(i)).voltage_v);
  }

  Archive again(path, Archive::Access::write);
  again.append(runs[0].id, example_samples(static_cast<int>(record.samples.size()), 1));
  CHECK(again.load(runs[0].id).samples.size() == record.samples.size() + 1);
}

}  // namespace sagbench::reports
