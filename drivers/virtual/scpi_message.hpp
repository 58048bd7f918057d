#pragma once
// A program message taken apart: units at ';', a header, parameters at ','.

#include <string_view>
#include <vector>

namespace sagbench::drivers::virtual_bench {

/// One message unit; views into the message.
struct MessageUnit {
  std::string_view header;
  std::vector<std::string_view>
      parameters;  // trimmed; "(nothing)" between two commas is an empty one
};

/// Takes the next unit off the front of `rest`, up to ';' or the end; separators inside quotes and
/// parentheses do not count. An empty unit has an empty header. Throws ScpiFault: -101 for a
/// character no message holds, -102 for an open quote or parenthesis.
void take_unit(std::string_view& rest, MessageUnit& unit);

}  // namespace sagbench::drivers::virtual_bench
