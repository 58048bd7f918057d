#pragma once
// A PNG picture as plain pixels, small enough for a page.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

namespace sagbench::reports {

struct Pixels {
  std::size_t width = 0;
  std::size_t height = 0;
  std::vector<std::uint8_t> rgb;  // row by row from the top, three bytes a pixel
};

/// What is transparent comes on white. Where the longer side has more than `longest` pixels, blocks
/// of them become their mean. Nothing where the bytes are no PNG, or a damaged one.
std::optional<Pixels> png_pixels(std::string_view bytes, std::size_t longest);

}  // namespace sagbench::reports
