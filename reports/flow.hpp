#pragma once
// Text that runs through columns, from the bottom of one to the top of the next, and on to further
// pages.

#include <string>
#include <string_view>
#include <vector>

#include "reports/paragraph.hpp"
#include "reports/pdf_document.hpp"

namespace sagbench::reports {

/// Side by side, of equal width.
std::vector<Rect> two_columns(const Rect& area);

/// Goes on in two columns on up to two pages more. What finds no room there either is counted,
/// never drawn.
class Flow {
 public:
  /// `columns` of `canvas` in reading order, of equal width.
  Flow(PdfDocument& document, Canvas& canvas, std::vector<Rect> columns);

  /// A heading keeps at least two lines of what follows with it.
  void heading(const std::string& text);
  /// `text` is put as_printed(). At most `most_lines` lines, then an ellipsis.
  void paragraph(std::string_view text, std::size_t most_lines = 6);
  /// "Name: value", the name bold.
  void entry(const std::string& name, const std::string& value);
  /// What follows begins in the second column of the first page, unless the first column has run
  /// over already.
  void turn();

  /// When something found no room, says how much and where it is.
  void finish();

 private:
  const Rect& column() const { return columns_[current_]; }
  double limit() const;
  /// Moves on until `height` fits; false: no column is left.
  bool make_room(double height);

  void take(std::vector<Rect> columns);
  void turn_page();

  PdfDocument& document_;
  Canvas* canvas_;
  int pages_ = 1;
  std::string heading_;  // the last
  std::vector<Rect> columns_;
  std::size_t current_ = 0;
  double top_ = 0.0;
  std::size_t left_out_ = 0;
};

}  // namespace sagbench::reports
