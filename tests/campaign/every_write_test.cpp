// Each write, sync and truncation of the archive fails, for every one until a run completes.

#include <sqlite3.h>

#include <algorithm>

#include "catch.hpp"
#include "trial.hpp"
#include "workers.hpp"

using namespace sagbench;
using namespace sagbench::campaign;

namespace {

Scene short_run() {
  return scene_from("scene seed=4 chemistry=LFP series=2 taps=0 meter=0 plan=transmit");
}

/// Runs it until no call of this kind is left to fail; returns how many there were.
int fail_each(Disk::Call call, int code, bool lasting) {
  const Folder folder;
  Disk disk;
  TrialOptions options;
  options.disk_fails = true;
  int number = 0;
  for (bool came = true; came;) {
    disk.fail(call, ++number, code, lasting);
    const Report report = run_trial(short_run(), {}, disk, folder.path(), options);
    came = disk.calls(call) >= number;
    const Program& program = report.programs.front();
    INFO("call " << number << ", code " << code << ": " << ending_of(program) << " "
                 << program.closing.reason << program.words);
    for (const std::string& failure : report.failures) FAIL_CHECK(failure);
    const std::string ending = ending_of(program);
    CHECK((ending == "done" || ending == "safety" || ending == "no archive"));
    if (program.how == Program::How::ended) CHECK(program.closing.load_confirmed_off);
    REQUIRE(number < 100000);
  }
  return number - 1;
}

}  // namespace

TEST_CASE("whichever write of the archive fails, once or from then on, the load ends off") {
  const int code = GENERATE(SQLITE_FULL, SQLITE_IOERR_WRITE);
  const bool lasting = GENERATE(false, true);
  CHECK(fail_each(Disk::Call::write, code, lasting) > 50);
}

TEST_CASE("whichever sync of the archive fails, the load ends off") {
  CHECK(fail_each(Disk::Call::sync, SQLITE_IOERR_FSYNC, GENERATE(false, true)) > 0);
}

TEST_CASE("whichever truncation of the archive fails, the load ends off") {
  CHECK(fail_each(Disk::Call::truncate, SQLITE_IOERR_TRUNCATE, GENERATE(false, true)) >= 0);
}
