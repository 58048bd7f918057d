// speed_exchanges PORT QUERY SECONDS [bare]: how many queries one session gets answered in a
// second; or, bare, a loop of write, poll and read, which is what the line allows at best.

#include <fcntl.h>
#include <poll.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <stdexcept>
#include <string>
#include <string_view>

#include "drivers/scpi_session.hpp"
#include "measured_loop.hpp"

namespace {

using namespace sagbench;

constexpr unsigned kBaud = 115200;  // a pseudo-terminal takes any

boost::asio::awaitable<void> measure(speed::MeasuredLoop& loop, drivers::ScpiSession& session,
                                     const char* query, double seconds) {
  const auto opened = co_await session.open();
  speed::expect(opened);
  const drivers::Time begin = loop.clock.now();
  const drivers::Time end = begin + drivers::from_seconds(seconds);
  long count = 0;
  for (; loop.clock.now() < end; ++count) {
    const auto exchange = co_await session.query(query);
    speed::expect(exchange);
  }
  std::printf("%.0f\n", static_cast<double>(count) / drivers::to_seconds(loop.clock.now() - begin));
}

void measure_session(const char* port, const char* query, double seconds) {
  speed::MeasuredLoop loop;
  drivers::ScpiSession session(
      speed::expect(drivers::make_transport(loop.io.get_executor(), loop.clock, port, kBaud)),
      loop.clock);
  loop.run(measure(loop, session, query, seconds));
}

int open_raw(const char* port) {
  const int line = ::open(port, O_RDWR | O_NOCTTY);
  termios settings{};
  if (line < 0 || ::tcgetattr(line, &settings) != 0) throw std::runtime_error("cannot be opened");
  ::cfmakeraw(&settings);
  ::tcsetattr(line, TCSANOW, &settings);
  return line;
}

/// One line there and one back.
void exchange_bare(int line, std::string_view message) {
  std::array<char, 256> answer{};
  if (::write(line, message.data(), message.size()) < 0) throw std::runtime_error("cannot write");
  for (ssize_t count = 0; count == 0 || answer.at(static_cast<std::size_t>(count) - 1) != '\n';) {
    pollfd ready{line, POLLIN, 0};
    if (::poll(&ready, 1, 1000) != 1) throw std::runtime_error("no answer");
    count = ::read(line, answer.data(), answer.size());
    if (count <= 0) throw std::runtime_error("cannot read");
  }
}

void measure_bare(const char* port, const char* query, double seconds) {
  using Clock = std::chrono::steady_clock;
  const int line = open_raw(port);
  const std::string message = std::string(query) + "\n";
  const auto begin = Clock::now();
  const auto took_s = [&] { return std::chrono::duration<double>(Clock::now() - begin).count(); };
  long count = 0;
  for (; took_s() < seconds; ++count) exchange_bare(line, message);
  std::printf("%.0f\n", static_cast<double>(count) / took_s());
  ::close(line);
}

}  // namespace

int main(int count, char** words) {
  const bool bare = count == 5 && std::string_view(words[4]) == "bare";
  if (count != 4 && !bare) {
    std::fputs("usage: speed_exchanges PORT QUERY SECONDS [bare]\n", stderr);
    return 2;
  }
  try {
    (bare ? measure_bare : measure_session)(words[1], words[2], std::atof(words[3]));
  } catch (const std::exception& failure) {
    std::fprintf(stderr, "%s\n", failure.what());
    return 4;
  }
  return 0;
}
