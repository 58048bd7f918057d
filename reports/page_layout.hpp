#pragma once
// What went where on one page, so that layout can be checked by machine.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "reports/geometry.hpp"

namespace sagbench::reports {

class PageLayout {
 public:
  /// `page`: what is inside the margins.
  explicit PageLayout(const Rect& page) : page_(page) {}

  void add_text(const Rect& rect, std::string_view text);
  /// `rect` belongs to one part of the page: other text must stay out of it.
  void add_block(const Rect& rect, std::string_view name);
  /// Lines and areas; what comes while a plot is open is its content.
  void add_ink(const Rect& rect);
  /// A plot is a block that must get content, all of it inside `room`, which is `rect` and a little
  /// around it. Text is welcome in it only while it is open. One at a time.
  void open_plot(const Rect& rect, const Rect& room, std::string_view name);
  void close_plot() { open_ = false; }

  /// Overlapping texts, texts cut by a block, overlapping blocks, empty plots, content beyond its
  /// plot, anything outside the margins. Empty: sound.
  std::vector<std::string> faults() const;
  std::vector<Rect> plots() const;

 private:
  struct Placed {
    Rect rect;
    std::string what;
    bool in_plot = false;
  };
  struct Plot {
    Rect rect;
    Rect room;
    std::string what;
    bool empty = true;
    bool overrun = false;
  };

  void check_margins(std::vector<std::string>& faults) const;
  void check_texts(std::vector<std::string>& faults) const;
  void check_blocks(std::vector<std::string>& faults) const;
  void check_plots(std::vector<std::string>& faults) const;

  Rect page_;
  std::vector<Placed> texts_;
  std::vector<Placed> blocks_;
  std::vector<Plot> plots_;
  bool open_ = false;                // the last of them
  std::optional<Rect> ink_outside_;  // the first outside the margins
};

}  // namespace sagbench::reports
