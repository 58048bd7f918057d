#include "reports/page_layout.hpp"

#include <fmt/format.h>

#include <cstddef>

namespace sagbench::reports {

void PageLayout::add_text(const Rect& rect, std::string_view text) {
  texts_.push_back({rect, std::string(text), open_});
}

void PageLayout::add_block(const Rect& rect, std::string_view name) {
  blocks_.push_back({rect, std::string(name)});
}

void PageLayout::add_ink(const Rect& rect) {
  if (open_) {
    Plot& plot = plots_.back();
    plot.empty = false;
    if (!contains(plot.room, rect)) plot.overrun = true;
  }
  if (!contains(page_, rect) && !ink_outside_) ink_outside_ = rect;
}

void PageLayout::open_plot(const Rect& rect, const Rect& room, std::string_view name) {
  add_block(rect, name);
  plots_.push_back({rect, room, std::string(name)});
  open_ = true;
}

void PageLayout::check_margins(std::vector<std::string>& faults) const {
  for (const auto* placed : {&texts_, &blocks_}) {
    for (const Placed& one : *placed) {
      if (!contains(page_, one.rect)) faults.push_back("outside the margins: " + one.what);
    }
  }
  if (ink_outside_) {
    faults.push_back(fmt::format("drawn outside the margins: at {:.0f}, {:.0f} to {:.0f}, {:.0f}",
                                 ink_outside_->x, ink_outside_->y, ink_outside_->right(),
                                 ink_outside_->bottom()));
  }
}

void PageLayout::check_texts(std::vector<std::string>& faults) const {
  for (std::size_t i = 0; i < texts_.size(); ++i) {
    const Placed& text = texts_[i];
    for (std::size_t j = i + 1; j < texts_.size(); ++j) {
      if (overlap(text.rect, texts_[j].rect)) {
        faults.push_back(fmt::format("texts overlap: {} | {}", text.what, texts_[j].what));
      }
    }
    for (const Placed& block : blocks_) {
      if (overlap(text.rect, block.rect) && !contains(block.rect, text.rect)) {
        faults.push_back(fmt::format("block {} cuts text: {}", block.what, text.what));
      }
    }
  }
}

void PageLayout::check_blocks(std::vector<std::string>& faults) const {
  for (std::size_t i = 0; i < blocks_.size(); ++i) {
    for (std::size_t j = i + 1; j < blocks_.size(); ++j) {
      const auto &a = blocks_[i], &b = blocks_[j];
      const bool nested = contains(a.rect, b.rect) || contains(b.rect, a.rect);
      if (overlap(a.rect, b.rect) && !nested) {
        faults.push_back(fmt::format("blocks overlap: {} | {}", a.what, b.what));
      }
    }
  }
}

void PageLayout::check_plots(std::vector<std::string>& faults) const {
  for (const Plot& plot : plots_) {
    if (plot.empty) faults.push_back("nothing drawn in: " + plot.what);
    if (plot.overrun) faults.push_back("drawn beyond: " + plot.what);
    for (const Placed& text : texts_) {
      if (!text.in_plot && contains(plot.rect, text.rect)) {
        faults.push_back(fmt::format("{} is covered by text: {}", plot.what, text.what));
      }
    }
  }
}

std::vector<Rect> PageLayout::plots() const {
  std::vector<Rect> rects;
  for (const Plot& plot : plots_) rects.push_back(plot.rect);
  return rects;
}

std::vector<std::string> PageLayout::faults() const {
  std::vector<std::string> faults;
  check_margins(faults);
  check_texts(faults);
  check_blocks(faults);
  check_plots(faults);
  return faults;
}

}  // namespace sagbench::reports
