// Each procedure with its n-th open, write or read failing, for every n until it completes.

#include <fmt/format.h>

#include "catch.hpp"
#include "trial.hpp"
#include "workers.hpp"

using namespace sagbench;
using namespace sagbench::campaign;

namespace {

Scene scene_for(const std::string& plan, const std::string& dialect) {
  Scene scene = scene_from("scene seed=3 chemistry=LFP series=2 taps=2 scan=1");
  scene.plan = plan;
  scene.brought = plan == "capacity" ? 0.03 : 0.6;
  scene.dialect = dialect;
  return scene;
}

void fail_each(const Scene& scene, drivers::ErrorKind how) {
  const Folder folder;
  Disk disk;
  TrialOptions options;
  const int all = run_trial(scene, {}, disk, folder.path(), options).operations;
  REQUIRE(all > 100);
  options.failing_how = how;
  for (int number = 1; number <= all; number += SAGBENCH_OPERATION_STRIDE) {
    options.failing_operation = number;
    const Report report = run_trial(scene, {}, disk, folder.path(), options);
    INFO(text_of(scene) << ", operation " << number << " of " << all << ": "
                        << ending_of(report.programs.front()));
    for (const std::string& failure : report.failures) FAIL_CHECK(failure);
    const std::string ending = ending_of(report.programs.front());
    // One lost exchange either costs nothing or ends the run as the instrument's failure.
    CHECK((ending == "done" || ending == "instrument" || ending == "no bench"));
  }
}

void fail_each_way(const std::string& plan, const std::string& dialect) {
  const Scene scene = scene_for(plan, dialect);
  SECTION("a time-out") {
    fail_each(scene, drivers::ErrorKind::timeout);
  }
  SECTION("the line lost") {
    fail_each(scene, drivers::ErrorKind::disconnected);
  }
}

}  // namespace

TEST_CASE("rest: whichever operation of a line fails, the load is off and the archive whole") {
  fail_each_way("rest", "scpi-1999-guarded");
}

TEST_CASE("capacity: whichever operation of a line fails, the load is off and the archive whole") {
  fail_each_way("capacity", "scpi-1999-guarded");
}

TEST_CASE(
    "peak current: whichever operation of a line fails, the load is off and the archive whole") {
  fail_each_way("peaks", "scpi-1999-guarded");
}

TEST_CASE(
    "transmit by steps: whichever operation of a line fails, the load is off and the archive "
    "whole") {
  fail_each_way("transmit", "scpi-1999-guarded");
}

TEST_CASE(
    "transmit by list: whichever operation of a line fails, the load is off and the archive "
    "whole") {
  fail_each_way("transmit", "scpi-1999-guarded-compound-list");
}
