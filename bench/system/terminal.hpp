#pragma once
// Whether a person is at the other end, and what the place can show.

namespace sagbench::bench {

bool stdin_is_terminal() noexcept;
bool stderr_is_terminal() noexcept;
/// Whether stderr's terminal shows UTF-8 and the block characters of eighths.
bool terminal_has_blocks() noexcept;

}  // namespace sagbench::bench
