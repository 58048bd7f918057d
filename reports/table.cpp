#include "reports/table.hpp"

#include <algorithm>

namespace sagbench::reports {
namespace {

constexpr double kGutter = 6.0;
constexpr double kRowGap = 2.0;

struct Span {
  double x = 0.0;
  double width = 0.0;
};

std::vector<Span> spans(double x, double width, const Table& table) {
  double total = 0.0;
  for (const auto& column : table.columns) total += column.share;
  const double gutters = kGutter * static_cast<double>(table.columns.size() - 1);
  std::vector<Span> result;
  for (const auto& column : table.columns) {
    const double w = (width - gutters) * column.share / total;
    result.push_back({x, w});
    x += w + kGutter;
  }
  return result;
}

using WrappedRow = std::vector<std::vector<std::string>>;

WrappedRow wrap_row(const Canvas& canvas, const std::vector<Span>& places, const Table& table,
                    const TableRow& row, const Font& font) {
  WrappedRow cells;
  for (std::size_t i = 0; i < places.size(); ++i) {
    cells.push_back(wrap_at_most(canvas, row[i], font, places[i].width, table.most_lines));
  }
  return cells;
}

double row_height(const WrappedRow& cells, double leading) {
  std::size_t lines = 1;
  for (const auto& cell : cells) lines = std::max(lines, cell.size());
  return static_cast<double>(lines) * leading + kRowGap;
}

double leading_of(const Font& font) {
  return font.size * kLeading / kBody.size;
}

void draw_row(Canvas& canvas, double top, const std::vector<Span>& places, const Table& table,
              const WrappedRow& cells, const Font& font) {
  const double leading = leading_of(table.font);
  for (std::size_t i = 0; i < places.size(); ++i) {
    const Align align = table.columns[i].align;
    const double x = align == Align::right ? places[i].x + places[i].width : places[i].x;
    double line_top = top + kRowGap / 2;
    for (const std::string& line : cells[i]) {
      canvas.text({x, baseline(line_top, leading)}, line, font, align);
      line_top += leading;
    }
  }
}

TableRow titles(const Table& table) {
  TableRow row;
  for (const auto& column : table.columns) row.push_back(column.title);
  return row;
}

Font head_font(const Table& table) {
  return {table.font.size, Weight::bold, kGrey};
}

}  // namespace

TableDrawn draw_table(Canvas& canvas, Point top_left, double width, double limit,
                      const Table& table) {
  const auto places = spans(top_left.x, width, table);
  const double leading = leading_of(table.font);
  double top = top_left.y;
  const auto rule = [&](double y, const Stroke& stroke) {
    canvas.line({top_left.x, y}, {top_left.x + width, y}, stroke);
  };
  const auto head = wrap_row(canvas, places, table, titles(table), head_font(table));
  if (top + row_height(head, leading) > limit) return {top, table.rows.size()};
  draw_row(canvas, top, places, table, head, head_font(table));
  top += row_height(head, leading);
  rule(top, {kGrey, 0.6});
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const auto cells = wrap_row(canvas, places, table, table.rows[i], table.font);
    const double height = row_height(cells, leading);
    if (top + height > limit + kTouch) return {top, table.rows.size() - i};
    draw_row(canvas, top, places, table, cells, table.font);
    top += height;
    rule(top, {kPale, 0.4});
  }
  return {top, 0};
}

double table_height(const Canvas& canvas, double width, const Table& table) {
  const auto places = spans(0.0, width, table);
  const double leading = leading_of(table.font);
  double height =
      row_height(wrap_row(canvas, places, table, titles(table), head_font(table)), leading);
  for (const auto& row : table.rows) {
    height += row_height(wrap_row(canvas, places, table, row, table.font), leading);
  }
  return height;
}

}  // namespace sagbench::reports
