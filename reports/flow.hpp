#pragma once
// Text that runs through columns, from the bottom of one to the top of the next.

#include <string>
#include <string_view>
#include <vector>

#include "reports/paragraph.hpp"

namespace sagbench::reports {

/// What finds no room in the last column is counted, never drawn.
class Flow {
 public:
  /// `columns` in reading order, of equal width; one line of the last is kept for finish().
  Flow(Canvas& canvas, std::vector<Rect> columns);

  /// A heading keeps at least two lines of what follows with it.
  void heading(const std::string& text);
  /// At most `most_lines` lines, then an ellipsis.
  void paragraph(std::string_view text, std::size_t most_lines = 6);
  /// "Name: value", the name bold.
  void entry(const std::string& name, const std::string& value);
  /// What follows begins in the second column, unless the first has run over already.
  void turn();

  /// When something found no room, says how much and where it is.
  void finish();

 private:
  const Rect& column() const { return columns_[current_]; }
  double limit() const;
  /// Moves on until `height` fits; false: no column is left.
  bool make_room(double height);

  Canvas& canvas_;
  std::vector<Rect> columns_;
  std::size_t current_ = 0;
  double top_ = 0.0;
  std::size_t left_out_ = 0;
};

}  // namespace sagbench::reports
