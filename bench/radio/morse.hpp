#pragma once
// International Morse code: Recommendation ITU-R M.1677-1 (10/2009), Annex 1, Part I. The signs
// were seen in several public copies of its table, the lengths quoted from its clauses 2.1 to 2.4.

#include <string>
#include <string_view>
#include <vector>

namespace sagbench::bench {

/// A mark or a gap, in units: the length of a dot.
struct Element {
  int units = 0;  // dot 1, dash 3; gap in a sign 1, between signs 3, between words 7
  bool key_down = false;
  bool ends_sign = false;  // a gap behind a whole sign
};

/// The elements of `text` (UTF-8), marks and gaps in turn. Spaces part words, however many; the
/// last gap is that between words, since a text is sent again and again. Per cent is sent as 0/0,
/// per mille as 0/00, the multiplication sign as X, as in the Recommendation. Precondition: no sign
/// without code.
std::vector<Element> elements_of(std::string_view text);

/// The first sign of `text` (UTF-8) that has no code; "" when each has one.
std::string sign_without_code(std::string_view text);

}  // namespace sagbench::bench
