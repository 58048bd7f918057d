#pragma once
// The user's input is at fault: exit code 2, one line.

#include <stdexcept>
#include <string>

namespace sagbench::bench {

/// Message: which file, which key, which value, what is accepted. Whatever the user's words hold,
/// it stays one line: control characters in it are written out as \x...
class InputError : public std::runtime_error {
 public:
  explicit InputError(const std::string& message);
};

}  // namespace sagbench::bench
