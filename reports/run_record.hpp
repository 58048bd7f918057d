#pragma once
// A run as the archive keeps it: what was asked, what was used, every sample, what happened, how it
// ended.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/recording.hpp"
#include "reports/photo.hpp"
#include "reports/remark.hpp"

namespace sagbench::reports {

/// How a run ended. Stored by number: do not change. Up to 5 it is the process's exit code.
enum class RunEnd : int {
  done = 0,
  defect = 1,
  user_fault = 2,
  safety = 3,
  instrument = 4,
  operator_stop = 5,
  interrupted = 6,  // the program or the computer died; closed by a later one
  running = -1,     // or the program died: nothing was written after the last sample
};

struct Instrument {
  std::string role;      // "load" | "meter"
  std::string identity;  // *IDN? answer
  std::string port;
  std::string calibrated;  // ISO date or empty
};

/// Begins the note of a run whose `utc` is not when it was measured.
inline constexpr const char* kStampOfImport = "The stamp is the time of import.";

/// Known before the first sample. The texts are the user's files, as JSON; plan_json carries its
/// radios inside.
struct RunHeader {
  std::string utc;  // ISO 8601, start of the run
  std::string pack_name;
  std::string pack_json;
  std::string bench_json;
  std::string plan_json;
  std::vector<Instrument> instruments;
  std::string software;  // "sagbench 0.1.0"
  std::vector<std::string>
      notes;  // what the bench could not do, defaults used: printed in the report
};

struct Event {
  double time_s = 0.0;
  std::string severity;  // "note" | "warning" | "stop"
  std::string text;
};

struct RunClosing {
  RunEnd end = RunEnd::running;
  std::string reason;               // one sentence; empty when done
  bool load_confirmed_off = false;  // the instrument said so and the current was gone
};

/// A plan step as it ran. `parameters_json` is the plan's own JSON for it (radio inside).
struct StepRow {
  analysis::StepKind kind = analysis::StepKind::rest;
  std::string parameters_json;
  double start_s = 0.0;
  double end_s = 0.0;
  analysis::StepEnd end = analysis::StepEnd::interrupted;
  std::string why;
  double charge_before_ah = 0.0;
};

/// What the radio of that step asked for.
struct AskedRow {
  int step = 0;
  analysis::AskedCurrent asked;
};

/// What a run's content was when it was sealed.
struct RunSeal {
  std::string sha256;  // the run's hash; empty: it is not sealed
  std::string late;    // when, if not as the run ended; ISO 8601
};

struct RunRecord {
  std::string id;
  RunHeader header;
  RunClosing closing;
  RunSeal seal;
  std::vector<StepRow> steps;
  std::vector<Event> events;
  std::vector<analysis::Sample> samples;
  std::vector<AskedRow> asked;
  std::vector<analysis::Gap> gaps;
  std::vector<Photo> photos;    // of its pack, the oldest first; as loaded, without their data
  std::vector<Remark> remarks;  // what was said of it afterwards, the oldest first
};

/// One line of `sagbench runs`.
struct RunSummary {
  std::string id;
  std::string utc;
  std::string pack_name;
  RunEnd end = RunEnd::running;
  std::int64_t samples = 0;
  double duration_s = 0.0;
  std::string pack_json;                         // as RunHeader::pack_json
  std::string serial{}, chemistry{}, builder{};  // of the pack, by its file; empty: not stated
};

}  // namespace sagbench::reports
