#include "reports/paragraph.hpp"

#include "reports/printable_text.hpp"

namespace sagbench::reports {
namespace {

constexpr std::string_view kEllipsis = "\xE2\x80\xA6";
constexpr std::string_view kNoBreakSpace = "\xC2\xA0";

bool continues(char c) {
  return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

// True when a word that must be broken may be broken before byte `at`: after a hyphen, or after a
// no-break space.
bool good_break(std::string_view word, std::size_t at) {
  return word[at - 1] == '-' || (at >= 2 && word.substr(at - 2, 2) == kNoBreakSpace);
}

struct Fitting {
  std::size_t any = 0;   // bytes of the longest beginning that fits; at least one character
  std::size_t good = 0;  // of the longest that ends at a good break; 0 when there is none
};

Fitting fitting_bytes(const Canvas& canvas, std::string_view word, const Font& font, double width) {
  Fitting fits;
  for (std::size_t end = 1; end <= word.size(); ++end) {
    if (end < word.size() && continues(word[end])) continue;
    if (fits.any > 0 && canvas.text_width(word.substr(0, end), font) > width) break;
    fits.any = end;
    if (good_break(word, end)) fits.good = end;
  }
  return fits;
}

class Wrapper {
 public:
  Wrapper(const Canvas& canvas, const Font& font, double width)
      : canvas_(canvas), font_(font), width_(width) {}

  void add(std::string_view word) {
    const std::string joined = line_.empty() ? std::string(word) : line_ + ' ' + std::string(word);
    if (canvas_.text_width(joined, font_) <= width_) {
      line_ = joined;
      return;
    }
    finish_line();
    while (canvas_.text_width(word, font_) > width_) {
      const Fitting fits = fitting_bytes(canvas_, word, font_, width_);
      const std::size_t bytes = fits.good > 0 ? fits.good : fits.any;
      std::string_view piece = word.substr(0, bytes);
      if (piece.ends_with(kNoBreakSpace)) piece.remove_suffix(kNoBreakSpace.size());
      lines_.emplace_back(piece);
      word.remove_prefix(bytes);
      if (word.empty()) return;
    }
    line_ = word;
  }

  std::vector<std::string> finish() {
    finish_line();
    if (lines_.empty()) lines_.emplace_back();
    return std::move(lines_);
  }

 private:
  void finish_line() {
    if (!line_.empty()) lines_.push_back(std::move(line_));
    line_.clear();
  }

  const Canvas& canvas_;
  const Font& font_;
  double width_;
  std::string line_;
  std::vector<std::string> lines_;
};

}  // namespace

std::vector<std::string> wrap(const Canvas& canvas, std::string_view text, const Font& font,
                              double width) {
  const std::string clean = printable(text);
  Wrapper wrapper(canvas, font, width);
  std::string_view rest = clean;
  while (!rest.empty()) {
    const std::size_t space = rest.find(' ');
    const std::string_view word = rest.substr(0, space);
    if (!word.empty()) wrapper.add(word);
    rest = space == std::string_view::npos ? std::string_view{} : rest.substr(space + 1);
  }
  return wrapper.finish();
}

std::string fit(const Canvas& canvas, std::string_view text, const Font& font, double width) {
  std::string line = printable(text);
  if (canvas.text_width(line, font) <= width) return line;
  const double room = width - canvas.text_width(kEllipsis, font);
  line.resize(fitting_bytes(canvas, line, font, room).any);
  return line + std::string(kEllipsis);
}

std::vector<std::string> wrap_at_most(const Canvas& canvas, std::string_view text, const Font& font,
                                      double width, std::size_t most) {
  auto lines = wrap(canvas, text, font, width);
  if (lines.size() <= most) return lines;
  lines.resize(most);
  const std::string cut = lines.back() + ' ' + std::string(kEllipsis);
  lines.back() = canvas.text_width(cut, font) <= width
                     ? cut
                     : fit(canvas, lines.back() + std::string(kEllipsis) + ' ', font, width);
  return lines;
}

double draw_lines(Canvas& canvas, Point top_left, const std::vector<std::string>& lines,
                  const Font& font, double leading) {
  double top = top_left.y;
  for (const std::string& line : lines) {
    canvas.text({top_left.x, baseline(top, leading)}, line, font);
    top += leading;
  }
  return top;
}

}  // namespace sagbench::reports
