#pragma once
// The run's cautions and the usual ones, in a box that cannot be overlooked.

#include <string>
#include <vector>

#include "reports/paragraph.hpp"

namespace sagbench::reports {

/// Laid out, not yet drawn: its height is needed first.
class CautionBox {
 public:
  /// All `usual` cautions are always in, whole. Of those `of_run`, as many as `highest` points
  /// allow, long ones shortened, and a line that counts the rest.
  CautionBox(const Canvas& canvas, const std::vector<std::string>& of_run,
             const std::vector<std::string>& usual, double width, double highest);

  double height() const noexcept;
  void draw(Canvas& canvas, Point top_left) const;
  /// False when a caution of the run was shortened or left out.
  bool complete() const noexcept { return complete_; }

 private:
  struct Line {
    std::string text;
    bool begins = false;  // a new caution: gets the bullet
    bool strong = false;
  };
  void add(const Canvas& canvas, const std::string& caution, bool strong);

  double width_;
  std::vector<Line> lines_;
  bool complete_ = true;
};

}  // namespace sagbench::reports
