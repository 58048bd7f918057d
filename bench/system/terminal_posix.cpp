#include <unistd.h>

#include <cstdlib>
#include <string_view>

#include "bench/system/terminal.hpp"

namespace sagbench::bench {

bool stdin_is_terminal() noexcept {
  return isatty(STDIN_FILENO) == 1;
}

bool stderr_is_terminal() noexcept {
  return isatty(STDERR_FILENO) == 1;
}

/// The system's own console says that it reads UTF-8 and has no blocks of eighths.
bool terminal_has_blocks() noexcept {
  const char* terminal = std::getenv("TERM");
  if (terminal != nullptr && std::string_view(terminal) == "linux") return false;
  for (const char* variable : {"LC_ALL", "LC_CTYPE", "LANG"}) {
    const char* value = std::getenv(variable);
    if (value == nullptr || *value == '\0') continue;
    const std::string_view locale = value;
    return locale.find("UTF-8") != std::string_view::npos ||
           locale.find("utf8") != std::string_view::npos;
  }
  return false;
}

}  // namespace sagbench::bench
