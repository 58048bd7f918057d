#pragma once
// The user's input is at fault: exit code 2, one line.

#include <stdexcept>
#include <string>

namespace sagbench::bench {

/// Message: which file, which key, which value, what is accepted.
class InputError : public std::runtime_error {
  using std::runtime_error::runtime_error;
};

}  // namespace sagbench::bench
