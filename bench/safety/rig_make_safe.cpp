// How the rig makes sure that the load is off.

#include <exception>

#include "bench/safety/rig.hpp"

namespace sagbench::bench {

using boost::asio::awaitable;
using drivers::Reading;
using drivers::Result;

namespace {

constexpr double kRetry_s = 0.5;         // between rounds
constexpr double kSettlingLook_s = 0.1;  // between looks at a current that should vanish

// An answer may be that to the question before: "0" to the input is no current of 0 A.
constexpr int kCalmReadings = 2;

}  // namespace

awaitable<bool> Rig::make_safe(std::function<bool()> give_up,
                               std::function<void(const std::string&)> alarm) {
  making_safe_ = true;
  for (int round = 0;; ++round) {
    const Result<std::string> outcome = co_await try_to_switch_off();
    if (outcome && outcome->empty()) {
      making_safe_ = false;
      co_return true;
    }
    alarm(outcome ? *outcome : outcome.error().message);
    if (give_up()) co_return false;
    // An instrument that is mute on this line may listen on a new one.
    if (!outcome && round > 0) load_.close();
    co_await sleep_->until(clock_.now() + drivers::from_seconds(kRetry_s));
  }
}

/// A defect of ours on the way to OFF is one more reason to try again.
awaitable<Result<std::string>> Rig::try_to_switch_off() {
  std::string defect;
  try {
    Result<std::string> outcome = co_await switch_off_and_read_back();
    co_return outcome;
  } catch (const std::exception& thrown) {
    defect = thrown.what();
  }
  co_return "a defect of sagbench: " + defect;
}

/// Empty when input and current are confirmed off; else what the load does instead.
awaitable<Result<std::string>> Rig::switch_off_and_read_back() {
  const drivers::Time sent = clock_.now();
  const Result<bool> off = co_await load_.input_off();
  if (!off) co_return off.error();
  if (!*off) co_return load_.port() + ": the load says its input is still on";
  if (known_.input_on) known_.commanded_since_s = at_s(sent);
  known_.input_on = false;
  played_.reset();
  known_.commanded_a = 0.0;
  for (int calm = 0;;) {
    const Result<Reading> current = co_await current_now();
    if (!current) co_return current.error();
    known_.current_a = stamped(*current);
    const Verdict verdict = current_flows(known_, limits_);
    calm = verdict.calm() ? calm + 1 : 0;
    if (calm == kCalmReadings) co_return std::string();
    if (calm > 0) continue;
    if (now_s() - known_.commanded_since_s > Snapshot::kSettlingTime_s) co_return verdict.message;
    co_await sleep_->until(clock_.now() + drivers::from_seconds(kSettlingLook_s));
  }
}

/// Asked twice at most: one lost answer is no reason for an alarm.
awaitable<Result<Reading>> Rig::current_now() {
  Result<Reading> current = co_await load_.current();
  if (!current) current = co_await load_.current();
  co_return current;
}

}  // namespace sagbench::bench
