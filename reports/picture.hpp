#pragma once
// Picture files, told by their content, not by their names: JPEG (ITU-T T.81) and PNG (ISO/IEC
// 15948).

#include <cstdint>
#include <string>
#include <string_view>

#include "analysis/finding.hpp"

namespace sagbench::reports {

struct Picture {
  std::string_view media_type;  // "image/jpeg", "image/png"
  std::uint32_t width = 0;      // pixels, as they are stored
  std::uint32_t height = 0;
  int channels = 3;     // JPEG: 1 grey, 3 colour, 4 for printers; PNG: not looked at
  int orientation = 1;  // 1 to 8, as the camera was held: TIFF 6.0, tag 274
};

/// More pixels than that are no photo of a pack, and cost memory to draw.
inline constexpr std::uint64_t kMostPixels = 50'000'000;

/// What `bytes` show, once their frame is whole from beginning to end, or why nothing can be made
/// of them. The picture itself is not decoded.
analysis::Finding<Picture> picture_in(std::string_view bytes);

/// The same JPEG picture, bit for bit, without what cameras write beside it: where it was taken,
/// small copies, comments. Precondition: picture_in() found it.
std::string bare_jpeg(std::string_view bytes);

}  // namespace sagbench::reports
