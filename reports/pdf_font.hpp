#pragma once
// One typeface file in a PDF, of which only the used letters are embedded.

#include <hpdf.h>

#include <string>
#include <unordered_map>

namespace sagbench::reports {

/// Lent by the document and valid as long as it. Errors go to the document's handler.
class PdfFont {
 public:
  /// TrueType, or the first of a collection (".ttc").
  PdfFont(HPDF_Doc document, const std::string& path);

  HPDF_Font handle() const noexcept { return handle_; }
  /// False as well for what is beyond U+FFFF.
  bool has(char32_t character) { return glyph_of(character) != 0; }
  /// Sees to it that all of the letter is embedded: the library keeps the parts that it is put
  /// together from, but not the parts of these.
  void use(char32_t character);

 private:
  unsigned glyph_of(char32_t character);
  void use_glyph(unsigned glyph, int depth);

  HPDF_Font handle_ = nullptr;
  HPDF_FontDef definition_ = nullptr;
  std::unordered_map<char32_t, unsigned> glyphs_;  // the library seeks each anew
  std::unordered_map<unsigned, bool> whole_;       // glyphs whose parts are all marked
};

}  // namespace sagbench::reports
