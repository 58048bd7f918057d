#pragma once
// An instrument behind a pseudo-terminal that is as slow as a serial line: ten bits a byte, each
// way. When what was said is told by the system's monotonic clock, the same in every process.

#include <unistd.h>

#include <algorithm>
#include <array>
#include <deque>
#include <functional>
#include <string>
#include <string_view>
#include <utility>

#include "drivers/virtual/virtual_bench.hpp"
#include "terminal.hpp"

namespace sagbench::speed {

using drivers::Time;

/// A message on its way to the instrument.
struct Message {
  std::string text;
  Time sent{0};   // when its first byte came to our end
  Time heard{0};  // when its last bit has arrived at the instrument
};

class PacedLine {
 public:
  /// What the line tells of. `change` may put another answer in the place of the one to `asked`,
  /// and is then true; `changed_came` when the last bit of such an answer has come to the program.
  /// `over` when the last bit of the answers to a message will have come (or, without any, when it
  /// was heard).
  struct Ears {
    std::function<void(const Message&)> heard = [](const Message&) {};
    std::function<void(const Message&)> sent = [](const Message&) {};
    std::function<bool(const std::string& asked, std::string& answer)> change =
        [](const std::string&, std::string&) { return false; };
    std::function<void(Time)> changed_came = [](Time) {};
    std::function<void(const Message&, Time)> over = [](const Message&, Time) {};
  };

  PacedLine(drivers::virtual_bench::VirtualInstrument& instrument, unsigned baud, Ears ears)
      : instrument_(instrument),
        byte_time_(drivers::from_seconds(kBitsPerByte / baud)),
        ears_(std::move(ears)) {}

  int descriptor() const noexcept { return terminal_.ours(); }
  const std::string& name() const noexcept { return terminal_.name(); }

  /// Bytes have come to our end of the terminal.
  void take(Time now) {
    std::array<char, 256> bytes{};
    const ssize_t count = ::read(terminal_.ours(), bytes.data(), bytes.size());
    for (const char byte :
         std::string_view(bytes.data(), static_cast<std::size_t>(std::max<ssize_t>(count, 0)))) {
      if (coming_.text.empty()) coming_.sent = now;
      there_free_ = std::max(there_free_, now) + byte_time_;
      if (byte != '\n') {
        coming_.text += byte;
        continue;
      }
      coming_.heard = there_free_;
      ears_.sent(coming_);
      there_.push_back(std::exchange(coming_, {}));
    }
  }

  /// When something happens here by itself.
  Time next() const noexcept {
    const Time there = there_.empty() ? Time::max() : there_.front().heard;
    return back_.empty() ? there : std::min(there, back_.front().due);
  }

  void advance(Time now) {
    while (!there_.empty() && there_.front().heard <= now) {
      answer(there_.front());
      there_.pop_front();
    }
    for (; !back_.empty() && back_.front().due <= now; back_.pop_front()) {
      const Lot& lot = back_.front();
      if (::write(terminal_.ours(), lot.bytes.data(), lot.bytes.size()) < 0)
        throw std::runtime_error(name() + " takes no more");
      if (lot.ends_changed) ears_.changed_came(now);
    }
  }

 private:
  static constexpr double kBitsPerByte = 10.0;
  static constexpr std::size_t kLot = 8;  // a 16550's usual level

  struct Lot {
    std::string bytes;
    Time due{0};
    bool ends_changed = false;
  };

  void answer(const Message& message) {
    ears_.heard(message);
    Time over = message.heard;
    for (auto& answer : instrument_.receive(message.text + '\n', message.heard)) {
      const bool changed = ears_.change(message.text, answer.bytes);
      back_free_ = std::max(back_free_, answer.ready);
      for (std::size_t at = 0; at < answer.bytes.size(); at += kLot) {
        Lot lot{answer.bytes.substr(at, kLot), Time(0), false};
        back_free_ += byte_time_ * static_cast<Time::rep>(lot.bytes.size());
        lot.due = back_free_;
        lot.ends_changed = changed && at + kLot >= answer.bytes.size();
        back_.push_back(std::move(lot));
      }
      over = back_free_;
    }
    ears_.over(message, over);
  }

  Terminal terminal_{O_NONBLOCK};
  drivers::virtual_bench::VirtualInstrument& instrument_;
  Time byte_time_;
  Ears ears_;
  Message coming_;
  std::deque<Message> there_;
  std::deque<Lot> back_;
  Time there_free_{0};  // when the last bit sent so far has arrived
  Time back_free_{0};
};

}  // namespace sagbench::speed
