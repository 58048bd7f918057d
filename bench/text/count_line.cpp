#include "bench/text/count_line.hpp"

#include <fmt/format.h>

#include <cstdio>
#include <utility>

#include "bench/system/terminal.hpp"
#include "bench/text/duration_text.hpp"

namespace sagbench::bench {

std::string count_text(const std::string& things, std::size_t done, std::size_t of, double took_s) {
  const double left_s = took_s * static_cast<double>(of - done) / static_cast<double>(done);
  return fmt::format("{} {} of {}, {} left", things, done, of, duration_text(left_s));
}

CountLine::CountLine(std::string things)
    : things_(std::move(things)),
      enabled_(stderr_is_terminal()),
      begun_(Clock::now()),
      last_(begun_) {}

void CountLine::at(std::size_t done, std::size_t of) {
  constexpr std::chrono::milliseconds kApart{250};
  const Clock::time_point now = Clock::now();
  if (!enabled_ || now - last_ < kApart) return;
  last_ = now;
  drawn_ = true;
  const double took_s = std::chrono::duration<double>(now - begun_).count();
  fmt::print(stderr, "\r\033[K{}", count_text(things_, done, of, took_s));
  std::fflush(stderr);
}

void CountLine::clear() {
  if (!std::exchange(drawn_, false)) return;
  fmt::print(stderr, "\r\033[K");
  std::fflush(stderr);
}

}  // namespace sagbench::bench
