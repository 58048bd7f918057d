#pragma once
// How wide letters are. All outputs measure by the typeface that PDFs embed, so a picture has the
// same layout in each.

#include <string_view>

#include "reports/ink.hpp"

namespace sagbench::reports {

class Typeface {
 public:
  virtual ~Typeface() = default;
  /// Width in points of one line of printable() text.
  virtual double text_width(std::string_view text, const Font& font) const = 0;
};

}  // namespace sagbench::reports
