#include "reports/bidi_line.hpp"

#include <fribidi/fribidi.h>

#include <algorithm>
#include <new>
#include <vector>

namespace sagbench::reports {
namespace {

// Nothing before the Hebrew letters runs from right to left.
constexpr char32_t kFirstOfRight = 0x590;
// Stands where two letters became one.
constexpr FriBidiChar kNothing = FRIBIDI_CHAR_FILL;

bool is_mark_for_shaping(FriBidiChar c) {
  return c == 0x200C || c == 0x200D;  // joins or parts its neighbours, and is not seen itself
}

class Line {
 public:
  explicit Line(const std::u32string& text)
      : text_(text.begin(), text.end()),
        length_(static_cast<FriBidiStrIndex>(text.size())),
        types_(text.size()),
        levels_(text.size()) {}

  std::u32string drawn() {
    find_levels();
    shape();
    if (fribidi_reorder_line(FRIBIDI_FLAGS_DEFAULT, types_.data(), length_, 0, base_,
                             levels_.data(), text_.data(), nullptr) == 0)
      throw std::bad_alloc();
    std::u32string seen;
    for (const FriBidiChar c : text_)
      if (c != kNothing && !is_mark_for_shaping(c)) seen += static_cast<char32_t>(c);
    return seen;
  }

 private:
  void find_levels() {
    std::vector<FriBidiBracketType> brackets(text_.size());
    fribidi_get_bidi_types(text_.data(), length_, types_.data());
    fribidi_get_bracket_types(text_.data(), length_, types_.data(), brackets.data());
    const bool from_left = std::ranges::find(types_, FRIBIDI_TYPE_LTR) != types_.end();
    base_ = from_left ? FRIBIDI_PAR_LTR : FRIBIDI_PAR_ON;
    if (fribidi_get_par_embedding_levels_ex(types_.data(), brackets.data(), length_, &base_,
                                            levels_.data()) == 0)
      throw std::bad_alloc();
  }

  void shape() {
    std::vector<FriBidiJoiningType> joining(text_.size());
    fribidi_get_joining_types(text_.data(), length_, joining.data());
    fribidi_join_arabic(types_.data(), length_, levels_.data(), joining.data());
    fribidi_shape(FRIBIDI_FLAGS_DEFAULT | FRIBIDI_FLAGS_ARABIC, levels_.data(), length_,
                  joining.data(), text_.data());
  }

  std::vector<FriBidiChar> text_;
  FriBidiStrIndex length_;
  std::vector<FriBidiCharType> types_;
  std::vector<FriBidiLevel> levels_;
  FriBidiParType base_ = FRIBIDI_PAR_LTR;
};

}  // namespace

std::u32string as_drawn(const std::u32string& line) {
  const bool plain = std::ranges::all_of(line, [](char32_t c) { return c < kFirstOfRight; });
  return plain ? line : Line(line).drawn();
}

}  // namespace sagbench::reports
