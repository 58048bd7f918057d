#pragma once
// Where one response message ends and the next begins in a stream of bytes.

#include <cstddef>
#include <optional>
#include <string_view>

namespace sagbench::drivers {

/// What ends a message: LF, alone or after CR; or CR alone, from an instrument that sends no LF.
enum class LineEnd { lf, cr };

/// The head of a block of definite length, "#15": '#', how many digits follow, and in them the
/// number of bytes of the block (IEEE 488.2, 8.7.9).
struct BlockStart {
  enum class Kind { none, unfinished, whole };  // unfinished: the digits are not all there yet
  Kind kind = Kind::none;
  std::size_t header = 0;  // length of the head, where whole
  std::size_t bytes = 0;   // of the block after it
};
/// Looks at the front of `text` alone. "#0" is none: that block has no length.
BlockStart block_start(std::string_view text) noexcept;

/// A message in the bytes received; positions in them.
struct Frame {
  std::size_t begin = 0;  // blanks around the message are left out
  std::size_t end = 0;
  std::size_t next = 0;  // behind the line end
  bool is_text = true;   // only printable characters outside of blocks
};
/// The first message of `received`, or nothing while its end is still to come. A line end inside a
/// block of definite length is none. May be empty.
std::optional<Frame> first_frame(std::string_view received, LineEnd line_end) noexcept;

}  // namespace sagbench::drivers
