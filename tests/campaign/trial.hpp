#pragma once
// One seed's run from the first program's start to the last one's end, and what is to be said of
// it.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "disk.hpp"
#include "draw.hpp"
#include "reports/run_record.hpp"

namespace sagbench::campaign {

class Stage;

/// How one program ended.
struct Program {
  enum class How { ended, refused, no_bench, no_archive, died, overdue };
  How how = How::ended;
  bool went_on = false;                // with the run of the one before
  std::string words;                   // of the refusal
  std::string run_id;                  // ended only
  reports::RunClosing closing;         // ended only
  double began_s = 0.0, left_s = 0.0;  // times of the world
};

struct Report {
  std::vector<std::string> failures;  // none: the seed passed
  std::vector<Program> programs;
  std::vector<bool> begun;  // which faults came about
  std::uint64_t digest = 0;
  std::string trace;             // if it was kept
  double lowest_margin_v = 0.0;  // lowest cell above its floor; below 0: under it
  double allowed_under_v = 0.0;  // how far under it a cell may come here
  double least_reserve_s = 0.0;  // see Witness
  double capacity_share = 0.0;   // of its own uncertainty that the capacity was off; 0: none
  double world_s = 0.0;
  bool disk_failed = false;  // a call to it was told to fail
  int operations = 0;        // opens, writes and reads of lines
};

struct TrialOptions {
  bool keep_trace = false;
  int failing_operation = 0;  // of all lines; 0: none
  drivers::ErrorKind failing_how = drivers::ErrorKind::timeout;
  bool disk_fails = false;  // the disk has its orders already
};

/// `folder` is the trial's own; what it leaves there is removed.
Report run_trial(const Scene& scene, const std::vector<Fault>& faults, Disk& disk,
                 const std::string& folder, const TrialOptions& options = {});

/// "done", "safety", ..., "refused", "died".
std::string ending_of(const Program& program);

}  // namespace sagbench::campaign
