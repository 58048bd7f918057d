#pragma once
// Running text: words wrapped to a measured width, on a fixed line spacing.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "reports/canvas.hpp"

namespace sagbench::reports {

/// Half of the page's baseline grid, in points: all vertical distances are multiples of it.
inline constexpr double kGrid = 5.0;
inline constexpr double kLeading = 2 * kGrid;

inline constexpr Font kBody{7.6, Weight::regular, kInk};
inline constexpr Font kBodyBold{7.6, Weight::bold, kInk};
inline constexpr Font kSmall{6.6, Weight::regular, kGrey};
inline constexpr Font kHeading{9.0, Weight::bold, kBlue};

/// Lines no wider than `width`. A word wider than that is broken: after a hyphen or at a
/// no-break space if it has one that serves, else between characters. `text` is made printable()
/// first. At least one line, possibly empty.
std::vector<std::string> wrap(const Canvas& canvas, std::string_view text, const Font& font,
                              double width);
/// As wrap, but at most `most` lines: the last one then ends with an ellipsis.
std::vector<std::string> wrap_at_most(const Canvas& canvas, std::string_view text, const Font& font,
                                      double width, std::size_t most);
/// One line, shortened with an ellipsis to fit.
std::string fit(const Canvas& canvas, std::string_view text, const Font& font, double width);

/// Draws lines downwards, the first within the line that begins at `top`; returns where the next
/// one would begin.
double draw_lines(Canvas& canvas, Point top_left, const std::vector<std::string>& lines,
                  const Font& font, double leading = kLeading);

/// Baseline of a line of text whose line box begins at `top`.
inline double baseline(double top, double leading = kLeading) noexcept {
  return top + 0.78 * leading;
}

}  // namespace sagbench::reports
