#pragma once
// How a camera was held when it took a picture.

#include <string_view>

namespace sagbench::reports {

/// 1 to 8 (TIFF 6.0, tag 274, Orientation), from the content of a JPEG file's application segment
/// 1; 1, upright, where that tells nothing that can be read.
int exif_orientation(std::string_view content);

}  // namespace sagbench::reports
