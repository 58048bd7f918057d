#pragma once
// The live page of a run that this program carries out.

#include <deque>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "bench/live/http_server.hpp"
#include "bench/live/live_messages.hpp"
#include "bench/live/live_service.hpp"
#include "bench/live/stream_thinner.hpp"
#include "bench/run/run_watch.hpp"

namespace sagbench::live {

struct LiveRunOptions {
  ListenAddress address;
  std::string archive_path;
  bool stay = false;  // after the run's end until Ctrl-C, else while somebody watches, for a while
};

class LiveRun final : public bench::RunWatch {
 public:
  /// Serves at once. Throws bench::InputError.
  LiveRun(const LiveRunOptions& options, bench::EventLoop& loop, bench::Surroundings::StopRun stop);
  ~LiveRun() override;

  std::string_view name() const override { return "live page"; }
  void begun(const bench::RunBegun& run,
             std::function<std::optional<bench::RunState>()> state) override;
  void kept(const bench::KeptBatch& batch) override;
  void load_off(bool off) override;
  void ended(const reports::RunClosing& closing) override;
  boost::asio::awaitable<bool> stay() override;

 private:
  void take_up_earlier(const bench::RunBegun& run);
  void note(const reports::Event& event);
  void tell_state();

  const bool stay_;
  boost::asio::io_context& io_;
  LiveService service_;
  HttpServer server_;
  RunFacts facts_;
  std::function<std::optional<bench::RunState>()> state_;
  PointMaker maker_;
  std::vector<std::string> cautions_;
  double told_s_ = 0.0;   // when the state was told last
  bool told_on_ = false;  // and what it was then
  std::string told_label_;
};

/// For RunOptions::watch.
bench::MakeRunWatch make_live_run(const LiveRunOptions& options);

}  // namespace sagbench::live
