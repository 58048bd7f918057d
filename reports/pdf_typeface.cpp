#include "reports/pdf_typeface.hpp"

namespace sagbench::reports {

double PdfTypeface::text_width(std::string_view text, const Font& font) const {
  const auto* bytes = reinterpret_cast<const HPDF_BYTE*>(text.data());
  const auto measured =
      HPDF_Font_TextWidth(handle(font.weight), bytes, static_cast<HPDF_UINT>(text.size()));
  return static_cast<double>(measured.width) * font.size / 1000.0;
}

}  // namespace sagbench::reports
