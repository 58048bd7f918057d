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

/// Of the words that count.
template <class Counts>
double widest_word(const Canvas& canvas, std::string_view text, const Font& font, Counts counts) {
  double widest = 0.0;
  while (!text.empty()) {
    const auto end = std::min(text.find(' '), text.size());
    const std::string_view word = text.substr(0, end);
    if (counts(word)) widest = std::max(widest, canvas.text_width(word, font));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return widest;
}

bool any_word(std::string_view) {
  return true;
}

/// A figure with its uncertainty or unit, a date or a run's id: no name of any length.
bool is_figure(std::string_view word) {
  constexpr std::size_t kLongest = 40;  // bytes
  const bool begins = !word.empty() && word.front() >= '0' && word.front() <= '9';
  return word.size() <= kLongest && (begins || word.find("\xC2\xA0") != std::string_view::npos);
}

Font head_font(const Table& table) {
  return {table.font.size, Weight::bold, kGrey};
}

// Where they do not fit together, the widest give way.
double most_for_each(std::vector<double> widths, double together) {
  std::ranges::sort(widths);
  for (std::size_t i = 0; i < widths.size(); ++i) {
    const double share = together / static_cast<double>(widths.size() - i);
    if (widths[i] > share) return share;
    together -= widths[i];
  }
  return widths.empty() ? 0.0 : widths.back();
}

// By shares, but none narrower than it must be and the longest word of its title, as far as the
// width allows.
std::vector<double> column_widths(const Canvas& canvas, double width, const Table& table) {
  std::vector<double> least, widths(table.columns.size(), 0.0);
  for (const auto& column : table.columns) {
    least.push_back(
        std::max(column.least, widest_word(canvas, column.title, head_font(table), any_word)));
  }
  const double most = most_for_each(least, width);
  for (double& w : least) w = std::min(w, most);
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

void keep_figures_whole(const Canvas& canvas, Table& table) {
  constexpr double kDust = 0.01;  // sums of widths differ by their last bits
  for (std::size_t i = 0; i < table.columns.size(); ++i)
    for (const TableRow& row : table.rows)
      table.columns[i].least = std::max(table.columns[i].least,
                                        widest_word(canvas, row[i], table.font, is_figure) + kDust);
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
