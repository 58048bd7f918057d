#pragma once
// What a run that another program writes has got since one looked last.

#include <cstdint>
#include <optional>
#include <string>

#include "reports/run_record.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {

class RunTail {
 public:
  /// Reads the archive at `path`. Throws ArchiveError, as every member does.
  explicit RunTail(const std::string& path);

  /// The newest run that a living program writes.
  std::optional<std::string> going_on() const;

  /// Samples and events by number, `samples` and `events` being the first new ones; and how the run
  /// stands. Precondition: there is such a run.
  struct News {
    std::vector<analysis::Sample> samples;
    std::vector<Event> events;
    std::vector<analysis::StepKind> steps;  // all of them
    RunClosing closing;
  };
  News since(const std::string& run_id, std::int64_t samples, std::int64_t events) const;

 private:
  std::string path_;
  Database database_;
};

}  // namespace sagbench::reports
