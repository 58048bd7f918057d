#pragma once
// The typeface as the PDF library holds it, in both weights.

#include <hpdf.h>

#include "reports/typeface.hpp"

namespace sagbench::reports {

/// Lent by PdfDocument and valid as long as it.
class PdfTypeface final : public Typeface {
 public:
  PdfTypeface() = default;
  PdfTypeface(HPDF_Font regular, HPDF_Font bold) : regular_(regular), bold_(bold) {}

  HPDF_Font handle(Weight weight) const noexcept {
    return weight == Weight::bold ? bold_ : regular_;
  }
  double text_width(std::string_view text, const Font& font) const override;

 private:
  HPDF_Font regular_ = nullptr;
  HPDF_Font bold_ = nullptr;
};

}  // namespace sagbench::reports
