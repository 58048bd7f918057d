#include "reports/svg_canvas.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstdlib>

#include "reports/printable_text.hpp"

namespace sagbench::reports {
namespace {

constexpr double kPictureMargin = 6.0;

/// Hundredths at most, without what adds nothing: "12.3", "-4".
std::string number(double value) {
  const long hundredths = std::lround(value * 100.0);
  std::string text = fmt::format("{}{}", hundredths < 0 ? "-" : "", std::abs(hundredths) / 100);
  const long rest = std::abs(hundredths) % 100;
  if (rest != 0)
    text += rest % 10 == 0 ? fmt::format(".{}", rest / 10) : fmt::format(".{:02}", rest);
  return text;
}

std::string escaped(std::string_view text) {
  std::string result;
  result.reserve(text.size());
  for (const char c : text) {
    switch (c) {
      case '&':
        result += "&amp;";
        break;
      case '<':
        result += "&lt;";
        break;
      case '>':
        result += "&gt;";
        break;
      default:
        result += c;
    }
  }
  return result;
}

std::string hex(const Colour& colour) {
  const auto byte = [](double part) { return std::lround(part * 255.0); };
  return fmt::format("#{:02x}{:02x}{:02x}", byte(colour.red), byte(colour.green),
                     byte(colour.blue));
}

std::string stroke_words(const Stroke& stroke) {
  std::string words = fmt::format(R"(fill="none" stroke="{}" stroke-width="{}")",
                                  hex(stroke.colour), number(stroke.width));
  if (stroke.dash.on != 0)
    words += fmt::format(R"( stroke-dasharray="{} {}")", stroke.dash.on, stroke.dash.off);
  return words;
}

std::string path(std::span<const Point> points) {
  std::string data;
  for (const Point& p : points) {
    data += data.empty() ? 'M' : 'L';
    data += number(p.x);
    data += ' ';
    data += number(p.y);
  }
  return data;
}

std::string rect_words(const Rect& rect) {
  return fmt::format(R"(x="{}" y="{}" width="{}" height="{}")", number(rect.x), number(rect.y),
                     number(rect.width), number(rect.height));
}

std::string circle_words(Point centre, double radius) {
  return fmt::format(R"(cx="{}" cy="{}" r="{}")", number(centre.x), number(centre.y),
                     number(radius));
}

}  // namespace

SvgCanvas::SvgCanvas(double width, double height, const Typeface& typeface)
    : Canvas(width, height, kPictureMargin, typeface) {}

void SvgCanvas::put_text(Point left, double width, std::string_view text, const Font& font) {
  body_ += fmt::format(R"(<text x="{}" y="{}" font-size="{}"{} fill="{}" textLength="{}" )"
                       R"(lengthAdjust="spacingAndGlyphs">{}</text>)"
                       "\n",
                       number(left.x), number(left.y), number(font.size),
                       font.weight == Weight::bold ? R"( font-weight="bold")" : "",
                       hex(font.colour), number(width), escaped(text));
}

void SvgCanvas::put_line(std::span<const Point> points, const Stroke& stroke) {
  body_ += fmt::format(R"(<path {} stroke-linejoin="round" d="{}"/>)"
                       "\n",
                       stroke_words(stroke), path(points));
}

void SvgCanvas::put_area(std::span<const Point> corners, const Colour& fill) {
  body_ += fmt::format("<path fill=\"{}\" d=\"{}Z\"/>\n", hex(fill), path(corners));
}

void SvgCanvas::put_disc(Point centre, double radius, const Colour& fill) {
  body_ += fmt::format("<circle {} fill=\"{}\"/>\n", circle_words(centre, radius), hex(fill));
}

void SvgCanvas::put_ring(Point centre, double radius, const Stroke& stroke) {
  body_ += fmt::format("<circle {} {}/>\n", circle_words(centre, radius), stroke_words(stroke));
}

void SvgCanvas::put_fill(const Rect& rect, const Colour& colour) {
  body_ += fmt::format("<rect {} fill=\"{}\"/>\n", rect_words(rect), hex(colour));
}

void SvgCanvas::put_frame(const Rect& rect, const Stroke& stroke) {
  body_ += fmt::format("<rect {} {}/>\n", rect_words(rect), stroke_words(stroke));
}

// A picture in the picture cuts at its edges and, unlike a clipPath, needs no id, of which there
// may be only one where several pictures stand in one page.
void SvgCanvas::begin_clip(const Rect& rect) {
  body_ += fmt::format("<svg {} viewBox=\"{} {} {} {}\">\n", rect_words(rect), number(rect.x),
                       number(rect.y), number(rect.width), number(rect.height));
}

void SvgCanvas::end_clip() {
  body_ += "</svg>\n";
}

std::string SvgCanvas::document(std::string_view title, std::string_view description) const {
  const std::string w = number(width()), h = number(height());
  return fmt::format(
      R"(<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" xml:space="preserve" role="img" width="{0}pt" height="{1}pt" viewBox="0 0 {0} {1}" font-family="'DejaVu Sans', sans-serif">
<title>{2}</title>
<desc>{3}</desc>
<rect width="{0}" height="{1}" fill="#ffffff"/>
{4}</svg>
)",
      w, h, escaped(printable(title)), escaped(printable(description)), body_);
}

}  // namespace sagbench::reports
