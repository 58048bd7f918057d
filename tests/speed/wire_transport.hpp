#pragma once
// A serial line as the bits see it: ten of them a byte (start, eight, stop), each way, in real
// time. At its other end stands an instrument that needs no time, so that only the wire and our own
// program are measured.

#include <algorithm>
#include <functional>
#include <memory>
#include <string>
#include <utility>

#include "drivers/clock.hpp"
#include "drivers/transport.hpp"

namespace sagbench::speed {

class WireTransport final : public drivers::Transport {
 public:
  /// `answer` gives what an instrument says to one line, with its line end; empty for nothing.
  using Instrument = std::function<std::string(const std::string& line)>;

  WireTransport(drivers::Clock& clock, unsigned baud, Instrument answer)
      : clock_(clock),
        alarm_(clock.make_alarm()),
        byte_time_(drivers::from_seconds(kBitsPerByte / baud)),
        answer_(std::move(answer)) {}

  boost::asio::awaitable<drivers::Result<void>> open(drivers::Time) override {
    coming_.clear();
    line_.clear();
    co_return drivers::Result<void>{};
  }

  /// Returns at once, as a system does that keeps the bytes and sends them on.
  boost::asio::awaitable<drivers::Result<void>> write(std::string_view bytes,
                                                      drivers::Time) override {
    for (const char byte : bytes) {
      outward_free_ = std::max(outward_free_, clock_.now()) + byte_time_;
      if (byte != '\n') {
        line_ += byte;
        continue;
      }
      send_back(answer_(line_));
      line_.clear();
    }
    co_return drivers::Result<void>{};
  }

  /// A UART tells of bytes in lots, and of the last ones when the line falls silent.
  boost::asio::awaitable<drivers::Result<void>> read(std::string& into,
                                                     drivers::Time deadline) override {
    const drivers::Time lot_is_there =
        coming_.empty() ? deadline
                        : inward_free_ - time_of(coming_.size() - std::min(coming_.size(), kLot));
    co_await alarm_->until(std::min(lot_is_there, deadline));
    const std::size_t before = into.size();
    take_arrived(into);
    if (into.size() > before) co_return drivers::Result<void>{};
    co_return drivers::Error{drivers::ErrorKind::timeout, name_ + ": silent"};
  }

  void take_arrived(std::string& into) override {
    const auto still_coming = (inward_free_ - clock_.now() + byte_time_ - drivers::Time(1)) /
                              byte_time_;  // rounded up: a byte is there with its last bit
    const auto last =
        std::clamp<long long>(still_coming, 0, static_cast<long long>(coming_.size()));
    const std::size_t arrived = coming_.size() - static_cast<std::size_t>(last);
    into.append(coming_, 0, arrived);
    coming_.erase(0, arrived);
  }

  void close() noexcept override {}
  const std::string& name() const noexcept override { return name_; }

  /// How long `bytes` of question and answer keep the wire busy.
  drivers::Time time_of(std::size_t bytes) const {
    return byte_time_ * static_cast<drivers::Time::rep>(bytes);
  }

 private:
  static constexpr double kBitsPerByte = 10.0;
  static constexpr std::size_t kLot = 8;  // a 16550's usual level

  void send_back(const std::string& answer) {
    const drivers::Time begin = std::max(inward_free_, outward_free_);
    inward_free_ = begin + time_of(answer.size());
    coming_ += answer;
  }

  drivers::Clock& clock_;
  std::unique_ptr<drivers::Alarm> alarm_;
  drivers::Time byte_time_;
  Instrument answer_;
  std::string name_ = "wire";
  std::string line_;               // what the instrument has of the present message
  std::string coming_;             // on its way back, up to inward_free_
  drivers::Time outward_free_{0};  // when the last bit sent has left
  drivers::Time inward_free_{0};   // when the last bit of `coming_` arrives
};

}  // namespace sagbench::speed
