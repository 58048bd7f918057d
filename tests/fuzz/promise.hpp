#pragma once
// What a fuzz target promises of its input, whatever that is.

#include <cstdio>
#include <cstdlib>
#include <string_view>

namespace sagbench::fuzz {

/// Stops the program with `what` when it does not hold; the fuzzer keeps the input.
inline void promise(bool holds, const char* what) {
  if (holds) return;
  std::fprintf(stderr, "broken promise: %s\n", what);
  std::abort();
}

/// A message for people is one line without control characters.
inline void promise_one_line(std::string_view message) {
  promise(!message.empty(), "a message says something");
  for (const char c : message) {
    promise(static_cast<unsigned char>(c) >= ' ' && c != '\x7f', "a message is one plain line");
  }
}

}  // namespace sagbench::fuzz
