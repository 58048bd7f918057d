#pragma once
// Predictions of transmit steps while a run goes on. What was measured is read back from the
// archive, so that nothing has to be kept in memory; that and the computing hold nothing up.

#include <boost/asio/awaitable.hpp>
#include <memory>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "analysis/figures.hpp"
#include "bench/files/plan_file.hpp"
#include "bench/safety/rig.hpp"

namespace sagbench::bench {

class Foretelling {
 public:
  /// With a real clock the work is done on a thread of its own, in virtual time at once: time then
  /// stands still.
  /// Its end waits for work that a run gave up waiting for: some seconds at most, the input being
  /// off.
  Foretelling(std::string archive_path, std::string run_id, bool virtual_time);

  /// One line each, or why nothing can be said: what to expect of the transmit step in row `row`,
  /// which is to begin, and, the same step being done, what came of that ("" where nothing was said
  /// of it). The input must be off. Takes half a minute at most; throws Stop like the rig.
  boost::asio::awaitable<std::string> before(TransmitStep step, int row, Rig& rig);
  boost::asio::awaitable<std::string> after(Rig& rig);

 private:
  struct Work;
  /// Once it is done: why it failed, if it did.
  boost::asio::awaitable<std::optional<std::string>> done(std::shared_ptr<Work> work, Rig& rig);

  std::string archive_path_;
  std::string run_id_;
  bool virtual_time_;
  std::optional<analysis::PredictionTest> foretold_;
  std::vector<std::jthread> threads_;  // joined before anything that they use goes
};

}  // namespace sagbench::bench
