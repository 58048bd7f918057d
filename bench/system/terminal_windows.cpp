#include <windows.h>

#include "bench/system/terminal.hpp"

namespace sagbench::bench {
namespace {

bool is_console(DWORD which) noexcept {
  DWORD mode = 0;
  return GetConsoleMode(GetStdHandle(which), &mode) != 0;
}

}  // namespace

bool stdin_is_terminal() noexcept {
  return is_console(STD_INPUT_HANDLE);
}

bool stderr_is_terminal() noexcept {
  return is_console(STD_ERROR_HANDLE);
}

// The typefaces that consoles are delivered with lack most of the eighths.
bool terminal_has_blocks() noexcept {
  return false;
}

}  // namespace sagbench::bench
