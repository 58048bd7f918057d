#pragma once
// A load and a meter before a simulated pack, on two pseudo-terminals that are as slow as serial
// lines.

#include <poll.h>
#include <sys/prctl.h>

#include <chrono>
#include <cstdio>
#include <ctime>
#include <utility>

#include "paced_line.hpp"

namespace sagbench::speed {

class PacedBench {
 public:
  /// Tells on stdout where they are.
  PacedBench(unsigned baud, double capacity_ah, PacedLine::Ears of_load, PacedLine::Ears of_meter)
      : bench_(world(capacity_ah), {},
               drivers::virtual_bench::MeterSpec{{101, {102, 103, 104, 105}, 106}, {}}, 1),
        load_(bench_.load(), baud, std::move(of_load)),
        meter_(bench_.meter(), baud, std::move(of_meter)) {
    // Or the system wakes a sleeper 50 us late, to save power: half a byte at 115200 baud.
    ::prctl(PR_SET_TIMERSLACK, 1UL, 0UL, 0UL, 0UL);
    std::printf("load %s\nmeter %s\n", load_.name().c_str(), meter_.name().c_str());
    std::fflush(stdout);
  }

  /// Waits for the next thing to happen, a second at most, and does it. True when stdin can be
  /// read.
  bool turn() {
    const bool told = wait_until(std::min(load_.next(), meter_.next()));
    for (PacedLine* const line : {&load_, &meter_}) line->advance(now());
    return told;
  }

  /// Seconds of the monotonic clock, the same in every process.
  double told_s(Time time) const { return drivers::to_seconds(begin_ + time); }

 private:
  static drivers::virtual_bench::WorldSpec world(double capacity_ah) {
    drivers::virtual_bench::WorldSpec world;
    world.pack.chemistry = analysis::Chemistry::lfp;
    world.pack.series = 4;
    world.pack.rated_capacity_ah = capacity_ah;
    return world;
  }

  Time now() const { return std::chrono::steady_clock::now().time_since_epoch() - begin_; }

  bool wait_until(Time due) {
    pollfd watched[] = {{load_.descriptor(), POLLIN, 0},
                        {meter_.descriptor(), POLLIN, 0},
                        {STDIN_FILENO, POLLIN, 0}};
    const Time left = std::clamp<Time>(due - now(), Time(0), std::chrono::seconds(1));
    const auto seconds = std::chrono::duration_cast<std::chrono::seconds>(left);
    const timespec wait{seconds.count(), (left - seconds).count()};
    if (::ppoll(watched, 3, &wait, nullptr) <= 0) return false;
    if (watched[0].revents != 0) load_.take(now());
    if (watched[1].revents != 0) meter_.take(now());
    return watched[2].revents != 0;
  }

  // The pack's time begins with the program, not with the computer.
  const Time begin_ = std::chrono::steady_clock::now().time_since_epoch();
  drivers::virtual_bench::VirtualBench bench_;
  PacedLine load_;
  PacedLine meter_;
};

}  // namespace sagbench::speed
