#include "reports/pdf_typeface.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "reports/bidi_line.hpp"
#include "reports/font_files.hpp"
#include "reports/unicode_text.hpp"

namespace sagbench::reports {
namespace {

bool is_ascii(std::string_view text) {
  return std::ranges::all_of(text, [](char c) { return static_cast<unsigned char>(c) < 0x80; });
}

/// Chooses among looks of the character before it: not seen itself.
bool is_variation_selector(char32_t c) {
  return c >= 0xFE00 && c <= 0xFE0F;
}

/// Scripts of South and South-East Asia: letters change form and place with their neighbours.
bool needs_shaping(char32_t c) {
  return c >= 0x0900 && c <= 0x0DFF;
}

/// `text` set in one piece with what stands before it, where that is of the same font.
void append(std::vector<PdfTypeface::Run>& runs, HPDF_Font font, char32_t character) {
  if (runs.empty() || runs.back().font != font) runs.push_back({font, {}});
  append_utf8(runs.back().text, character);
}

}  // namespace

PdfTypeface::PdfTypeface(Load load) : load_(std::move(load)) {
  for (const char* file : {"DejaVuSans.ttf", "DejaVuSans-Bold.ttf"})
    own_.push_back(load_(find_font(file)));
}

void PdfTypeface::load_others() const {
  if (std::exchange(others_loaded_, true)) return;
  for (const OtherFont& other : other_fonts())
    if (const auto path = path_of(other)) others_.push_back(load_(*path));
}

PdfFont* PdfTypeface::font_with(char32_t character, Weight weight) const {
  PdfFont& own = own_[weight == Weight::bold ? 1 : 0];
  if (own.has(character)) return &own;
  load_others();
  const auto found =
      std::ranges::find_if(others_, [&](PdfFont& font) { return font.has(character); });
  return found == others_.end() ? nullptr : &*found;
}

std::vector<PdfTypeface::Run> PdfTypeface::runs(std::string_view text, Weight weight) const {
  const HPDF_Font own = own_[weight == Weight::bold ? 1 : 0].handle();
  if (is_ascii(text)) return {{own, std::string(text)}};
  std::vector<Run> runs;
  for (const char32_t character : as_drawn(decoded(text))) {
    if (is_variation_selector(character)) continue;
    if (PdfFont* font = font_with(character, weight); font != nullptr) {
      font->use(character);
      unshaped_ = unshaped_ || needs_shaping(character);
      append(runs, font->handle(), character);
      continue;
    }
    missing_.insert(character);
    for (const char digit : code_point_text(character))
      append(runs, own, static_cast<char32_t>(digit));
  }
  return runs;
}

double PdfTypeface::width(const Run& run, double size) {
  const auto* bytes = reinterpret_cast<const HPDF_BYTE*>(run.text.data());
  const auto units =
      HPDF_Font_TextWidth(run.font, bytes, static_cast<HPDF_UINT>(run.text.size())).width;
  return static_cast<double>(units) * size / 1000.0;
}

double PdfTypeface::text_width(std::string_view text, const Font& font) const {
  double sum = 0.0;
  for (const Run& run : runs(text, font.weight)) sum += width(run, font.size);
  return sum;
}

std::vector<std::string> PdfTypeface::shortcomings() const {
  std::vector<std::string> found;
  if (!missing_.empty()) {
    std::string list;
    for (const char32_t character : missing_)
      list += (list.empty() ? "" : ", ") + code_point_text(character);
    found.push_back(fmt::format(
        "No typeface on the computer that made this PDF has {}: the code point stands for the "
        "letter.{}",
        list, missing_packages_words()));
  }
  if (unshaped_)
    found.emplace_back(
        "Letters of South Asian scripts stand one after the other here: their joined forms are not "
        "made.");
  return found;
}

}  // namespace sagbench::reports
