#pragma once
// A picture file as an image of a PDF.

#include <hpdf.h>

#include <array>
#include <string_view>

#include "reports/geometry.hpp"
#include "reports/picture.hpp"

namespace sagbench::reports {

/// Null where the library cannot take it; it then has told its error handler, or not, where the
/// bytes could not be decoded. A JPEG goes in as it is, but for what cameras write beside it; a
/// PNG as pixels. Precondition: `picture` is what picture_in(bytes) found.
HPDF_Image load_image(HPDF_Doc document, const Picture& picture, std::string_view bytes);

/// As it is to be looked at: width by height of `picture`, upright.
Rect upright(const Picture& picture);

/// a, b, c, d, e, f of the PDF's transformation (ISO 32000-1, 8.3.3) that puts an image, which is a
/// square of one by one, upright into `box`, whose y goes upwards.
std::array<double, 6> placed(const Rect& box, int orientation);

}  // namespace sagbench::reports
