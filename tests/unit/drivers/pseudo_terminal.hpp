#pragma once
// A pseudo-terminal, for lines without an instrument.

#include <fcntl.h>
#include <stdlib.h>
#include <unistd.h>

#include <array>
#include <string>
#include <utility>

#include "catch.hpp"

namespace sagbench::drivers::test {

/// The instrument's end of a pseudo-terminal, left as the system makes it: with echo and mapped
/// line ends.
struct Terminal {
  Terminal() : handle(::posix_openpt(O_RDWR | O_NOCTTY)) {
    REQUIRE(handle >= 0);
    REQUIRE(::grantpt(handle) == 0);
    REQUIRE(::unlockpt(handle) == 0);
    std::array<char, 128> name{};
    REQUIRE(::ptsname_r(handle, name.data(), name.size()) == 0);
    path = name.data();
  }
  ~Terminal() { close(); }
  Terminal(const Terminal&) = delete;
  Terminal& operator=(const Terminal&) = delete;

  void close() {
    if (handle >= 0) ::close(std::exchange(handle, -1));
  }
  std::string hear(std::size_t count) const {
    std::string text;
    std::array<char, 256> chunk{};
    while (text.size() < count) {
      const auto got = ::read(handle, chunk.data(), chunk.size());
      REQUIRE(got > 0);
      text.append(chunk.data(), static_cast<std::size_t>(got));
    }
    return text;
  }
  void say(const std::string& text) const {
    REQUIRE(::write(handle, text.data(), text.size()) == static_cast<ssize_t>(text.size()));
  }

  int handle;
  std::string path;
};

}  // namespace sagbench::drivers::test
