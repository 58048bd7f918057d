#include "drivers/virtual_clock.hpp"

#include <boost/asio/associated_cancellation_slot.hpp>
#include <boost/asio/associated_executor.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <cassert>
#include <optional>
#include <utility>

namespace sagbench::drivers {

class VirtualClock::VirtualAlarm final : public Alarm {
 public:
  explicit VirtualAlarm(VirtualClock& clock) : clock_(clock) {}
  ~VirtualAlarm() override { end_wait(false); }
  VirtualAlarm(const VirtualAlarm&) = delete;
  VirtualAlarm& operator=(const VirtualAlarm&) = delete;

  boost::asio::awaitable<bool> until(Time deadline) override {
    const auto start = [this, deadline](Handler handler) { wait(std::move(handler), deadline); };
    return boost::asio::async_initiate<const boost::asio::use_awaitable_t<>&, void(bool)>(
        start, boost::asio::use_awaitable);
  }

  void ring() noexcept override { end_wait(false); }

  /// Lets the waiter go, by way of its executor: nobody is resumed inside this call.
  void end_wait(bool reached) noexcept {
    if (!waiter_) return;
    Handler waiter = take_waiter();
    const auto executor = boost::asio::get_associated_executor(waiter);
    boost::asio::post(executor,
                      [resume = std::move(waiter), reached]() mutable { resume(reached); });
  }

  /// The deadline is here: resumes the waiter inside this call. Only for the clock, which is called
  /// by no coroutine; the way through the executor would cost a tenth of all exchanges.
  void reach() {
    Handler waiter = take_waiter();
    waiter(true);
  }

 private:
  using Handler =
      boost::asio::async_result<boost::asio::use_awaitable_t<>, void(bool)>::handler_type;

  Handler take_waiter() noexcept {
    if (place_) clock_.waiting_.erase(*place_);
    place_.reset();
    if (auto slot = boost::asio::get_associated_cancellation_slot(*waiter_); slot.is_connected()) {
      slot.clear();
    }
    Handler waiter = std::move(*waiter_);
    waiter_.reset();
    return waiter;
  }

  void wait(Handler handler, Time deadline) {
    assert(!waiter_ && "one waiter an alarm");
    waiter_.emplace(std::move(handler));
    if (deadline <= clock_.now_) {
      end_wait(true);
      return;
    }
    if (auto slot = boost::asio::get_associated_cancellation_slot(*waiter_); slot.is_connected()) {
      slot.assign([this](boost::asio::cancellation_type) { end_wait(false); });
    }
    place_.emplace(deadline, clock_.next_order_++);
    clock_.waiting_.emplace(*place_, this);
  }

  VirtualClock& clock_;
  std::optional<Handler> waiter_;
  std::optional<std::pair<Time, std::uint64_t>> place_;  // in the clock's queue
};

VirtualClock::VirtualClock(boost::asio::io_context& io,
                           std::chrono::system_clock::time_point utc_start, Time begins)
    : io_(io), utc_start_(utc_start), now_(begins) {}

VirtualClock::~VirtualClock() {
  while (!waiting_.empty()) waiting_.begin()->second->ring();
}

std::chrono::system_clock::time_point VirtualClock::utc() const noexcept {
  return utc_start_ + std::chrono::duration_cast<std::chrono::system_clock::duration>(now_);
}

std::unique_ptr<Alarm> VirtualClock::make_alarm() {
  return std::make_unique<VirtualAlarm>(*this);
}

void VirtualClock::suspend(Time length) {
  now_ += length;
  while (!waiting_.empty() && waiting_.begin()->first.first <= now_) {
    waiting_.begin()->second->end_wait(true);
  }
}

bool VirtualClock::run(const std::function<bool()>& finished,
                       const std::function<bool()>& before_jump) {
  while (!finished()) {
    io_.restart();  // poll() stops the context when it runs out of work
    io_.poll();
    if (finished()) return true;
    if (before_jump && before_jump()) continue;
    if (!jump()) return false;
  }
  return true;
}

bool VirtualClock::jump() {
  if (waiting_.empty()) return false;
  now_ = waiting_.begin()->first.first;
  while (!waiting_.empty() && waiting_.begin()->first.first <= now_) {
    waiting_.begin()->second->reach();
  }
  return true;
}

}  // namespace sagbench::drivers
