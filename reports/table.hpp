#pragma once
// Ruled tables whose cells wrap.

#include <cstddef>
#include <string>
#include <vector>

#include "reports/paragraph.hpp"

namespace sagbench::reports {

struct TableColumn {
  std::string title;
  double share = 1.0;  // of the table's width, relative to the other columns
  Align align = Align::left;
  double least = 0.0;  // points; as far as the table's width allows
};

using TableRow = std::vector<std::string>;

struct Table {
  std::vector<TableColumn> columns;
  std::vector<TableRow> rows;  // each as long as `columns`
  Font font = kBody;
  std::size_t most_lines = 4;  // a cell longer than that ends with an ellipsis
};

struct TableDrawn {
  double bottom = 0.0;        // where the next thing may begin
  std::size_t rows_left = 0;  // did not fit above `limit`
};

/// Draws head and rows from `top_left` down, whole rows only, none below `limit`. With rows left
/// over, nothing says so on the page: that is the caller's.
TableDrawn draw_table(Canvas& canvas, Point top_left, double width, double limit,
                      const Table& table);
/// No column narrower than the longest of its figures, dates and ids, which begin with a digit or
/// hold no-break spaces: for tables that are drawn in parts, each of which would find other widths.
void keep_figures_whole(const Canvas& canvas, Table& table);
/// Height the whole table takes.
double table_height(const Canvas& canvas, double width, const Table& table);

}  // namespace sagbench::reports
