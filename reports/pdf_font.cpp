#include "reports/pdf_font.hpp"

#include <array>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <system_error>
#include <utility>
#include <vector>

#include "reports/to_unicode.hpp"
#include "reports/unicode_text.hpp"

namespace sagbench::reports {
namespace {

// How a glyph is put together from others: OpenType specification, table glyf, composite glyph
// description.
constexpr unsigned kWideArguments = 0x0001, kScale = 0x0008, kMore = 0x0020, kTwoScales = 0x0040,
                   kMatrix = 0x0080;
constexpr unsigned kHeadBytes = 8;  // behind the number of contours
constexpr int kDeepest = 8;         // of parts in parts; a damaged file may go round in circles

/// Big-endian numbers of the file, one after the other.
class FontReader {
 public:
  FontReader(HPDF_Stream stream, std::size_t at) : stream_(stream) {
    HPDF_Stream_Seek(stream_, static_cast<HPDF_INT>(at), HPDF_SEEK_SET);
  }
  unsigned word() {
    std::array<HPDF_BYTE, 2> bytes{};
    HPDF_UINT size = bytes.size();
    ended_ = HPDF_Stream_Read(stream_, bytes.data(), &size) != HPDF_OK || ended_;
    return static_cast<unsigned>(bytes[0] << 8U | bytes[1]);
  }
  void skip(unsigned bytes) {
    HPDF_Stream_Seek(stream_, static_cast<HPDF_INT>(bytes), HPDF_SEEK_CUR);
  }
  bool ended() const noexcept { return ended_; }

 private:
  HPDF_Stream stream_;
  bool ended_ = false;
};

unsigned bytes_of_arguments(unsigned flags) {
  const unsigned offsets = (flags & kWideArguments) != 0 ? 4 : 2;
  if ((flags & kScale) != 0) return offsets + 2;
  if ((flags & kTwoScales) != 0) return offsets + 4;
  return (flags & kMatrix) != 0 ? offsets + 8 : offsets;
}

std::vector<unsigned> parts_of(const HPDF_TTFontDefAttr_Rec& font, unsigned glyph) {
  const std::size_t unit = font.header.index_to_loc_format == 0 ? 2 : 1;
  const std::size_t begin = font.glyph_tbl.offsets[glyph], end = font.glyph_tbl.offsets[glyph + 1];
  std::vector<unsigned> parts;
  if (begin >= end) return parts;  // nothing is drawn
  FontReader reader(font.stream, font.glyph_tbl.base_offset + begin * unit);
  const bool composite = static_cast<std::int16_t>(reader.word()) < 0;
  if (!composite) return parts;
  reader.skip(kHeadBytes);
  for (unsigned flags = kMore; (flags & kMore) != 0 && !reader.ended();) {
    flags = reader.word();
    parts.push_back(reader.word());
    reader.skip(bytes_of_arguments(flags));
  }
  return parts;
}

/// Without even the head of a typeface (OpenType specification, table directory), where the library
/// does not look whether there is one.
bool is_no_typeface(const std::string& path) {
  constexpr std::uintmax_t kHead = 12;
  std::error_code unknown;  // then the library finds out
  const auto size = std::filesystem::file_size(path, unknown);
  return !unknown && size < kHead;
}

}  // namespace

PdfFont::PdfFont(HPDF_Doc document, const std::string& path) {
  if (is_no_typeface(path)) return;
  const char* name = path.ends_with(".ttc")
                         ? HPDF_LoadTTFontFromFile2(document, path.c_str(), 0, HPDF_TRUE)
                         : HPDF_LoadTTFontFromFile(document, path.c_str(), HPDF_TRUE);
  if (name == nullptr) return;
  definition_ = HPDF_GetFontDef(document, name);
  handle_ = HPDF_GetFont(document, name, "UTF-8");
  if (handle_ != nullptr) set_to_unicode(document, handle_);
}

unsigned PdfFont::glyph_of(char32_t character) {
  if (definition_ == nullptr || character > kLastOfBasicPlane) return 0;
  const auto [entry, anew] = glyphs_.try_emplace(character);
  if (anew)
    entry->second = HPDF_TTFontDef_GetGlyphid(definition_, static_cast<HPDF_UINT16>(character));
  return entry->second;
}

void PdfFont::use(char32_t character) {
  const unsigned glyph = glyph_of(character);
  if (glyph != 0) use_glyph(glyph, 0);
}

void PdfFont::use_glyph(unsigned glyph, int depth) {
  const auto& font = *static_cast<HPDF_TTFontDefAttr>(definition_->attr);
  if (glyph >= font.num_glyphs || depth > kDeepest) return;
  if (depth == 0 && std::exchange(whole_[glyph], true)) return;
  font.glyph_tbl.flgs[glyph] = 1;
  for (const unsigned part : parts_of(font, glyph)) use_glyph(part, depth + 1);
}

}  // namespace sagbench::reports
