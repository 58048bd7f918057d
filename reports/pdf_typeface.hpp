#pragma once
// The typeface as the PDF library holds it, in both weights, and what stands in for letters that it
// lacks.

#include <hpdf.h>

#include <functional>
#include <set>
#include <string>
#include <vector>

#include "reports/pdf_font.hpp"
#include "reports/typeface.hpp"

namespace sagbench::reports {

/// Lent by PdfDocument and valid as long as it.
class PdfTypeface final : public Typeface {
 public:
  /// Letters of one font, from left to right.
  struct Run {
    HPDF_Font font = nullptr;
    std::string text;
  };
  static double width(const Run& run, double size);
  /// A typeface file, loaded. Throws ReportError where it cannot be used.
  using Load = std::function<PdfFont(const std::string& path)>;

  /// Throws ReportError where the typeface of the reports is missing.
  explicit PdfTypeface(Load load);

  double text_width(std::string_view text, const Font& font) const override;
  /// One line of printable() text as it is to be set. What no typeface has a letter for stands
  /// there as its code point.
  std::vector<Run> runs(std::string_view text, Weight weight) const;

  /// For the record: what of the texts so far could not be set as it should be. Usually nothing.
  std::vector<std::string> shortcomings() const;

 private:
  PdfFont* font_with(char32_t character, Weight weight) const;
  void load_others() const;

  Load load_;
  // Fonts are loaded when the first text needs them, and learn which letters they are used for.
  mutable std::vector<PdfFont> own_;  // regular, bold
  mutable std::vector<PdfFont> others_;
  mutable bool others_loaded_ = false;
  mutable std::set<char32_t> missing_;
  mutable bool unshaped_ = false;
};

}  // namespace sagbench::reports
