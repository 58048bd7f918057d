#pragma once
// One client of a served instrument, from its first byte to its last.

#include <array>
#include <boost/asio/as_tuple.hpp>
#include <boost/asio/buffer.hpp>
#include <boost/asio/experimental/awaitable_operators.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <boost/asio/write.hpp>
#include <chrono>
#include <deque>
#include <memory>

#include "drivers/clock.hpp"
#include "drivers/virtual/virtual_bench.hpp"

namespace sagbench::drivers::virtual_bench {

/// Listens and speaks at the same time: an answer leaves when the instrument has it ready, whatever
/// arrives meanwhile. All referred to must outlive run().
template <class Stream>
class ScpiConversation {
 public:
  ScpiConversation(Stream& stream, Clock& clock, VirtualInstrument& instrument)
      : stream_(stream),
        clock_(clock),
        instrument_(instrument),
        alarm_(clock.make_alarm()),
        room_(clock.make_alarm()) {}

  /// Until the client has hung up (and has its answers, as far as it takes them) or the stream is
  /// closed.
  boost::asio::awaitable<void> run() {
    using namespace boost::asio::experimental::awaitable_operators;
    co_await (listen() && speak());
  }

 private:
  static constexpr auto kNoThrow = boost::asio::as_tuple(boost::asio::use_awaitable);

  static constexpr Time kIdle = std::chrono::hours(1);  // a wait that ends by ringing
  static constexpr std::size_t kMostWaiting = 1000;  // answers nobody reads; then we listen no more

  boost::asio::awaitable<void> listen() {
    std::array<char, 1024> bytes{};
    while (!over_) {
      if (leaving_.size() >= kMostWaiting) {
        co_await room_->until(clock_.now() + kIdle);
        continue;
      }
      const auto [failure, count] =
          co_await stream_.async_read_some(boost::asio::buffer(bytes), kNoThrow);
      if (failure) break;
      for (Answer& answer : instrument_.receive({bytes.data(), count}, clock_.now())) {
        leaving_.push_back(std::move(answer));
      }
      alarm_->ring();
    }
    heard_all_ = true;
    alarm_->ring();
  }

  boost::asio::awaitable<void> speak() {
    while (!leaving_.empty() || !heard_all_) {
      const Time now = clock_.now();
      if (leaving_.empty() || leaving_.front().ready > now) {
        const Time next = leaving_.empty() ? now + kIdle : leaving_.front().ready;
        co_await alarm_->until(next);
        continue;
      }
      const std::string bytes = std::move(leaving_.front().bytes);
      leaving_.pop_front();
      room_->ring();
      const auto [failure, count] =
          co_await boost::asio::async_write(stream_, boost::asio::buffer(bytes), kNoThrow);
      if (failure) break;
    }
    over_ = true;
    room_->ring();
    boost::system::error_code ignored;  // it may be closed already
    stream_.close(ignored);             // ends listen()
  }

  Stream& stream_;
  Clock& clock_;
  VirtualInstrument& instrument_;
  std::unique_ptr<Alarm> alarm_;  // wakes speak()
  std::unique_ptr<Alarm> room_;   // wakes listen()
  std::deque<Answer> leaving_;
  bool heard_all_ = false;
  bool over_ = false;
};

}  // namespace sagbench::drivers::virtual_bench
