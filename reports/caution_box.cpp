#include "reports/caution_box.hpp"

#include <fmt/format.h>

#include "reports/number_text.hpp"
#include "reports/report_page.hpp"

namespace sagbench::reports {
namespace {

constexpr double kPadding = 8.0;
constexpr double kBullet = 8.0;
constexpr double kTitleHeight = 3 * kGrid;
constexpr double kCautionLeading = 9.0;
constexpr Font kPlain{7.0, Weight::regular, kInk};
constexpr Font kStrong{7.0, Weight::bold, kInk};
constexpr Font kTitle{9.0, Weight::bold, kInk};

double height_of(std::size_t lines) {
  return kTitleHeight + static_cast<double>(lines) * kCautionLeading + kPadding;
}

}  // namespace

CautionBox::CautionBox(const Canvas& canvas, const std::vector<std::string>& of_run,
                       const std::vector<std::string>& usual, double width, double highest)
    : width_(width) {
  for (const auto& caution : usual) add(canvas, caution, false);
  const auto usual_lines = std::move(lines_);
  lines_.clear();
  for (std::size_t i = 0; i < of_run.size(); ++i) {
    const auto before = lines_.size();
    add(canvas, of_run[i], true);
    // One line stays free for the count.
    if (height_of(lines_.size() + usual_lines.size() + 1) > highest) {
      lines_.resize(before);
      complete_ = false;
      add(canvas, fmt::format("{} more about this run: see the last page.", of_run.size() - i),
          true);
      break;
    }
  }
  lines_.insert(lines_.end(), usual_lines.begin(), usual_lines.end());
}

void CautionBox::add(const Canvas& canvas, const std::string& text, bool strong) {
  const std::string caution = as_printed(text);
  const double inner = width_ - 2 * kPadding - kBullet;
  constexpr std::size_t kMostLines = 3;  // of a caution of the run
  auto lines = wrap(canvas, caution, strong ? kStrong : kPlain, inner);
  if (strong && lines.size() > kMostLines) {
    lines = wrap_at_most(canvas, caution, kStrong, inner, kMostLines);
    complete_ = false;
  }
  bool begins = true;
  for (auto& line : lines) {
    lines_.push_back({std::move(line), begins, strong});
    begins = false;
  }
}

double CautionBox::height() const noexcept {
  return height_of(lines_.size());
}

void CautionBox::draw(Canvas& canvas, Point top_left) const {
  const Rect rect{top_left.x, top_left.y, width_, height()};
  canvas.claim(rect, "cautions");
  canvas.fill(rect, kMist);
  canvas.frame(rect, {kInk, 1.2});
  canvas.mark("Cautions", rect.y, MarkLevel::section);
  const double title_y = rect.y + 2.4 * kGrid;
  canvas.text({rect.x + kPadding, title_y}, "Cautions", kTitle);
  canvas.refer({rect.right() - kPadding, title_y}, kAllCautions);
  double top = rect.y + kTitleHeight;
  for (const Line& line : lines_) {
    const double y = baseline(top, kCautionLeading);
    if (line.begins) canvas.fill({rect.x + kPadding + 1, y - 4, 3, 3}, kInk);
    canvas.text({rect.x + kPadding + kBullet, y}, line.text, line.strong ? kStrong : kPlain);
    top += kCautionLeading;
  }
}

}  // namespace sagbench::reports
