#pragma once
// Follows, through the archive, a run that another program carries out.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/steady_timer.hpp>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "bench/live/live_messages.hpp"
#include "bench/live/live_service.hpp"
#include "reports/run_tail.hpp"

namespace sagbench::live {

/// Looks once a second, on the service's other thread, and tells its feed. What only the program
/// knows that carries out the run (the input, distances to limits, what time is left) is not known
/// here and told as null.
class ArchiveFollower {
 public:
  /// Both outlive it.
  ArchiveFollower(boost::asio::io_context& io, LiveService& service, std::string archive_path);

 private:
  /// What one look brought.
  struct Look {
    std::optional<reports::RunRecord> begun;  // another run goes on now; without samples and events
    reports::RunTail::News news;
    bool lost = false;  // the program that carried it out is gone, and it has no end
    std::string run_id;
  };

  void look();
  void ask();
  static Look look_at(const std::string& path, std::string run, std::int64_t samples,
                      std::int64_t events);
  void take(const Look& look);
  void begin(const reports::RunRecord& record);
  void tell_state(const std::vector<analysis::StepKind>& steps);
  void end(const reports::RunClosing& closing);

  LiveService& service_;
  std::string path_;
  boost::asio::steady_timer timer_;
  RunFacts facts_;  // of the run that is followed; its id is empty while there is none
  PointMaker maker_;
  std::int64_t samples_ = 0, events_ = 0;
  LivePoint newest_;
  std::vector<std::string> cautions_;
  bool looking_ = false;
  std::shared_ptr<ArchiveFollower*> self_;
};

}  // namespace sagbench::live
