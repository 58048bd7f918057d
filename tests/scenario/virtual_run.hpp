#pragma once
// A whole run on the virtual bench, put together by hand so that a test can listen on the wires and
// meddle.

#include <functional>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "../temporary_folder.hpp"
#include "bench/run/controller.hpp"
#include "bench/run/instruments.hpp"
#include "bench/run/virtual_recharger.hpp"
#include "bench/system/event_loop.hpp"
#include "drivers/virtual/virtual_bench.hpp"

namespace sagbench::tests {

/// One message on a wire.
struct Sent {
  double time_s = 0.0;
  std::string line;  // "load" or "meter"
  std::string text;
};

/// What becomes of an answer: changed in place; false loses it.
using Meddle = std::function<bool(double time_s, const std::string& line, const std::string& asked,
                                  std::string& answer)>;

/// True while the line is cut: nothing passes, and it cannot be opened.
using Cut = std::function<bool(double time_s, const std::string& line)>;

/// Writes down what passes and lets a test meddle with the answers, or cut the line.
class TappedTransport final : public drivers::Transport {
 public:
  TappedTransport(std::unique_ptr<drivers::Transport> inner, std::string line,
                  drivers::Clock& clock, std::vector<Sent>& log, const Meddle& meddle,
                  const double& answer_takes_s, const Cut* cut = nullptr)
      : inner_(std::move(inner)),
        line_(std::move(line)),
        clock_(clock),
        log_(log),
        meddle_(meddle),
        answer_takes_s_(answer_takes_s),
        cut_(cut) {}

  boost::asio::awaitable<drivers::Result<void>> open(drivers::Time deadline) override {
    if (is_cut()) co_return unplugged();
    auto opened = co_await inner_->open(deadline);
    co_return opened;
  }
  boost::asio::awaitable<drivers::Result<void>> write(std::string_view bytes,
                                                      drivers::Time deadline) override {
    if (is_cut()) co_return unplugged();
    asked_ = std::string(bytes.substr(0, bytes.find_last_not_of("\r\n") + 1));
    log_.push_back({drivers::to_seconds(clock_.now()), line_, asked_});
    auto written = co_await inner_->write(bytes, deadline);
    co_return written;
  }
  boost::asio::awaitable<drivers::Result<void>> read(std::string& into,
                                                     drivers::Time deadline) override {
    for (;;) {
      if (is_cut()) co_return unplugged();
      std::string answer;
      auto result = co_await inner_->read(answer, deadline);
      if (!result) co_return result;
      if (meddle_ && !meddle_(drivers::to_seconds(clock_.now()), line_, asked_, answer)) continue;
      if (answer_takes_s_ > 0.0) {
        const auto alarm = clock_.make_alarm();
        co_await alarm->until(clock_.now() + drivers::from_seconds(answer_takes_s_));
      }
      into += answer;
      co_return result;
    }
  }
  void take_arrived(std::string& into) override { inner_->take_arrived(into); }
  void interrupt() noexcept override { inner_->interrupt(); }
  void close() noexcept override { inner_->close(); }
  const std::string& name() const noexcept override { return inner_->name(); }

 private:
  bool is_cut() const {
    return cut_ != nullptr && *cut_ && (*cut_)(drivers::to_seconds(clock_.now()), line_);
  }
  drivers::Error unplugged() const {
    return {drivers::ErrorKind::disconnected, name() + ": unplugged"};
  }

  std::unique_ptr<drivers::Transport> inner_;
  std::string line_;
  drivers::Clock& clock_;
  std::vector<Sent>& log_;
  const Meddle& meddle_;
  const double& answer_takes_s_;
  const Cut* cut_;  // null: never
  std::string asked_;
};

/// A bench file as a user has it: a load of 30 A and 600 W, and a meter on the pack alone.
nlohmann::json metered_bench();

/// The only run of an archive. Throws std::logic_error when there is another number of them.
reports::RunRecord record_of(const std::string& archive);

/// "4S LFP, 10 Ah" and a bench with taps and thermometer, as plain files would describe them.
analysis::Pack demo_pack();
bench::Bench demo_bench(int taps);

class VirtualRun {
 public:
  VirtualRun(analysis::Pack pack, bench::Bench bench, std::uint64_t seed,
             std::vector<drivers::virtual_bench::CellTrait> cells = {});

  /// Called now and then in virtual time, between handlers: for an operator's stop and the like.
  /// True when it did something.
  std::function<bool(double time_s)> meanwhile;
  Meddle meddle;
  Cut cut;
  /// While it is true nothing reaches the archive, and no error says so.
  bool disk_hangs = false;
  /// How much longer each answer takes: a slow line.
  double answer_takes_s = 0.0;

  /// Makes what predicts the transmit steps of this run; empty: nobody does.
  std::function<std::unique_ptr<bench::Foretelling>(const std::string& run_id)> foretell;

  /// Runs `steps` (the JSON of a plan's list) to the end. `archive` is the file's path.
  reports::RunClosing run(const nlohmann::json& steps, const std::string& archive);

  drivers::virtual_bench::Truth truth() { return world_.truth(loop_.clock().now()); }
  bench::Rig& rig() { return *rig_; }
  const std::vector<Sent>& sent() const { return sent_; }
  const std::vector<std::string>& alarms() const { return alarms_; }

 private:
  boost::asio::awaitable<reports::RunClosing> carry_out(const bench::Plan& plan);

  analysis::Pack pack_;
  bench::Bench bench_;
  bench::Limits limits_;
  bench::EventLoop loop_{true};
  drivers::virtual_bench::VirtualBench world_;
  std::vector<Sent> sent_;
  std::unique_ptr<drivers::ElectronicLoad> load_;
  std::unique_ptr<drivers::Meter> meter_;
  std::unique_ptr<bench::Rig> rig_;
  std::unique_ptr<bench::Journal> journal_;
  std::vector<std::string> alarms_;
};

}  // namespace sagbench::tests
