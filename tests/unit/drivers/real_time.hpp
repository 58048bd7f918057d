#pragma once
// Transports on the real clock, driven from a test.

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <chrono>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "catch.hpp"
#include "drivers/real_clock.hpp"
#include "drivers/transport.hpp"
#include "result_printing.hpp"

namespace sagbench::drivers::test {

inline constexpr Time kPatience =
    std::chrono::seconds(5);  // far beyond what a loaded machine needs

struct RealTime {
  boost::asio::io_context io;
  RealClock clock{io};

  Result<void> run(boost::asio::awaitable<Result<void>> task) {
    std::optional<Result<void>> outcome;
    boost::asio::co_spawn(io, std::move(task),
                          [&](std::exception_ptr failure, Result<void> result) {
                            if (failure) std::rethrow_exception(std::move(failure));
                            outcome = std::move(result);
                          });
    io.restart();
    const auto give_up = std::chrono::steady_clock::now() + 2 * kPatience;
    while (!outcome && io.run_one_until(give_up) != 0) {
    }
    REQUIRE(outcome);
    return *outcome;
  }

  std::unique_ptr<Transport> make(const std::string& port) {
    auto transport = make_transport(io.get_executor(), clock, port, 115200);
    REQUIRE(transport);
    return std::move(*transport);
  }
  Result<void> open(Transport& line) { return run(line.open(clock.now() + kPatience)); }
  Result<void> write(Transport& line, const std::string& bytes) {
    return run(line.write(bytes, clock.now() + kPatience));
  }
  Result<void> read(Transport& line, std::string& into, Time within = kPatience) {
    return run(line.read(into, clock.now() + within));
  }
  /// Reads until `count` bytes are there: a line may deliver them in pieces.
  std::string read_all(Transport& line, std::size_t count) {
    std::string text;
    while (text.size() < count) {
      const Result<void> got = read(line, text);
      REQUIRE(got);
    }
    return text;
  }
};

}  // namespace sagbench::drivers::test
