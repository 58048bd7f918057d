#pragma once
// An instrument in memory that does what a test says: late, torn, glued or senseless answers, cut
// lines.

#include <algorithm>
#include <functional>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "drivers/clock.hpp"
#include "drivers/transport.hpp"

namespace sagbench::drivers::test {

/// Bytes that arrive `after` the message they belong to.
struct Reply {
  std::string bytes;
  Time after{0};
};

/// What the test sees and steers; shared with the transport, which the session owns.
struct Script {
  std::function<std::vector<Reply>(const std::string& line)> answer;
  std::vector<Reply> greeting;     // comes with each open()
  std::vector<std::string> heard;  // complete lines, in order
  std::vector<Time> heard_at;
  bool is_open = false;
  bool refuses_open = false;
  bool has_baud = false;
  bool cuts_line = false;          // at the next read
  std::size_t writes_torn_at = 0;  // if not 0: the next write sends so many bytes and times out
};

class ScriptedTransport final : public Transport {
 public:
  ScriptedTransport(std::shared_ptr<Script> script, Clock& clock)
      : script_(std::move(script)), clock_(clock), alarm_(clock.make_alarm()) {}

  boost::asio::awaitable<Result<void>> open(Time) override {
    arriving_.clear();
    half_line_.clear();
    script_->cuts_line = false;
    script_->is_open = !script_->refuses_open;
    if (!script_->is_open) co_return failed(ErrorKind::disconnected, "connection refused");
    expect(script_->greeting);
    co_return Result<void>{};
  }

  boost::asio::awaitable<Result<void>> write(std::string_view bytes, Time deadline) override {
    if (!script_->is_open) co_return failed(ErrorKind::disconnected, "the line is not open");
    const std::size_t torn_at = std::exchange(script_->writes_torn_at, 0);
    receive(torn_at == 0 ? bytes : bytes.substr(0, torn_at));
    if (torn_at == 0) co_return Result<void>{};
    co_await alarm_->until(deadline);
    co_return failed(ErrorKind::timeout, "the line takes no more");
  }

  boost::asio::awaitable<Result<void>> read(std::string& into, Time deadline) override {
    if (script_->cuts_line) script_->is_open = false;
    if (!script_->is_open) co_return failed(ErrorKind::disconnected, "closed by the other end");
    const Time next = arriving_.empty() ? deadline : arriving_.front().after;
    co_await alarm_->until(std::min(next, deadline));  // or until interrupt()
    const std::size_t before = into.size();
    take_arrived(into);
    if (into.size() == before) co_return failed(ErrorKind::timeout, "silent until the deadline");
    co_return Result<void>{};
  }

  void take_arrived(std::string& into) override {
    while (!arriving_.empty() && arriving_.front().after <= clock_.now()) {
      into += arriving_.front().bytes;
      arriving_.erase(arriving_.begin());
    }
  }

  void interrupt() noexcept override { alarm_->ring(); }
  void close() noexcept override { script_->is_open = false; }
  bool has_baud() const noexcept override { return script_->has_baud; }
  const std::string& name() const noexcept override { return name_; }

 private:
  Error failed(ErrorKind kind, const std::string& what) const {
    return Error{kind, name_ + ": " + what};
  }

  void receive(std::string_view bytes) {
    for (const char c : bytes) {
      if (c != '\n') {
        half_line_ += c;
        continue;
      }
      script_->heard.push_back(half_line_);
      script_->heard_at.push_back(clock_.now());
      if (!half_line_.empty() && script_->answer) expect(script_->answer(half_line_));
      half_line_.clear();
    }
  }

  void expect(const std::vector<Reply>& replies) {
    for (const Reply& reply : replies) {
      arriving_.push_back({reply.bytes, clock_.now() + reply.after});
    }
    const auto earlier = [](const Reply& a, const Reply& b) { return a.after < b.after; };
    std::stable_sort(arriving_.begin(), arriving_.end(), earlier);
  }

  std::shared_ptr<Script> script_;
  Clock& clock_;
  std::unique_ptr<Alarm> alarm_;
  std::string name_ = "script";
  std::string half_line_;
  std::vector<Reply> arriving_;  // `after` is the moment of arrival here
};

}  // namespace sagbench::drivers::test
