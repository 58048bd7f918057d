#pragma once
// One line on the terminal, in place: step, voltage, current, temperature, charge, time left. Shows
// only what is already safe in the archive.

#include <boost/asio/io_context.hpp>
#include <functional>
#include <memory>
#include <string>

#include "bench/journal.hpp"
#include "bench/progress.hpp"

namespace sagbench::bench {

class StatusLine {
 public:
  /// Draws every second while it lives, if `enabled` and stderr is a terminal. Everything passed
  /// must outlive it. `now_s`: seconds since the run's start.
  StatusLine(boost::asio::io_context& io, std::function<double()> now_s, const Journal& journal,
             const Progress& progress, bool enabled);
  ~StatusLine();
  StatusLine(const StatusLine&) = delete;
  StatusLine& operator=(const StatusLine&) = delete;

  /// Removes the line so that a message can stand there.
  void clear();
  /// Last word after `seconds` of run.
  void finish(double seconds);

 private:
  struct State;
  std::shared_ptr<State> state_;
};

/// "3 h 07 min", "42 s".
std::string duration_text(double seconds);
/// At most 79 columns.
std::string status_text(const Progress& progress, const std::optional<analysis::Sample>& sample,
                        double now_s);

}  // namespace sagbench::bench
