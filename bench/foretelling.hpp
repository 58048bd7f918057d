#pragma once
// Predictions of transmit steps while a run goes on. What was measured is read back from the
// archive, so that nothing has to be kept in memory; that and the computing hold nothing up.

#include <boost/asio/awaitable.hpp>
#include <string>

#include "bench/plan_file.hpp"
#include "bench/rig.hpp"

namespace sagbench::bench {

class Foretelling {
 public:
  /// With a real clock the work is done on a thread of its own, in virtual time at once: time then
  /// stands still.
  Foretelling(std::string archive_path, std::string run_id, bool virtual_time);

  /// One line on the transmit step in row `row`: what to expect of it, or, once it is `done`, what
  /// came of that; else why nothing can be said. The input must be off. Takes half a minute at
  /// most; throws Stop like the rig.
  boost::asio::awaitable<std::string> about(TransmitStep step, int row, bool done, Rig& rig) const;

 private:
  std::string archive_path_;
  std::string run_id_;
  bool virtual_time_;
};

}  // namespace sagbench::bench
