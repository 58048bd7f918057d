#include "reports/table.hpp"

#include <algorithm>
#include <numeric>

namespace sagbench::reports {
namespace {

constexpr double kGutter = 6.0;
constexpr double kRowGap = 2.0;

struct Span {
  double x = 0.0;
  double width = 0.0;
};

double widest_word(const Canvas& canvas, std::string_view text, const Font& font) {
  double widest = 0.0;
  while (!text.empty()) {
    const auto end = std::min(text.find(' '), text.size());
    widest = std::max(widest, canvas.text_width(text.substr(0, end), font));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return widest;
}

Font head_font(const Table& table) {
  return {table.font.size, Weight::bold, kGrey};
}

// By shares, but none narrower than the longest word of its title, as far as the width allows.
std::vector<double> column_widths(const Canvas& canvas, double width, const Table& table) {
  std::vector<double> least, widths(table.columns.size(), 0.0);
  for (const auto& column : table.columns) {
    least.push_back(widest_word(canvas, column.title, head_font(table)));
  }
  const double together = std::accumulate(least.begin(), least.end(), 0.0);
  if (together > width) {
    for (double& w : least) w *= width / together;
  }
  std::vector<bool> held(widths.size(), false);  // at its least
  for (bool changed = true; changed;) {
    changed = false;
    double free = width, shares = 0.0;
    for (std::size_t i = 0; i < widths.size(); ++i) {
      if (held[i]) free -= least[i];
      if (!held[i]) shares += table.columns[i].share;
    }
    for (std::size_t i = 0; i < widths.size(); ++i) {
      widths[i] = held[i] ? least[i] : std::max(0.0, free) * table.columns[i].share / shares;
      if (held[i] || widths[i] >= least[i]) continue;
      held[i] = changed = true;
    }
  }
  return widths;
}

std::vector<Span> spans(const Canvas& canvas, double x, double width, const Table& table) {
  const double gutters = kGutter * static_cast<double>(table.columns.size() - 1);
  std::vector<Span> result;
  for (const double w : column_widths(canvas, width - gutters, table)) {
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

}  // namespace

TableDrawn draw_table(Canvas& canvas, Point top_left, double width, double limit,
                      const Table& table) {
  const auto places = spans(canvas, top_left.x, width, table);
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
  const auto places = spans(canvas, 0.0, width, table);
  const double leading = leading_of(table.font);
  double height =
      row_height(wrap_row(canvas, places, table, titles(table), head_font(table)), leading);
  for (const auto& row : table.rows) {
    height += row_height(wrap_row(canvas, places, table, row, table.font), leading);
  }
  return height;
}

}  // namespace sagbench::reports
