// Names in any script: turned, joined, in the typeface that has their letters, or told by code
// point.
#include <hpdf.h>

#include <algorithm>
#include <string>

#include "catch.hpp"
#include "report_fixture.hpp"
#include "reports/bidi_line.hpp"
#include "reports/font_files.hpp"
#include "reports/paragraph.hpp"
#include "reports/pdf_document.hpp"
#include "reports/pdf_font.hpp"
#include "reports/printable_text.hpp"
#include "reports/report_pages.hpp"
#include "reports/unicode_text.hpp"

namespace sagbench::reports {
namespace {

TEST_CASE("characters come back from their numbers") {
  const std::string text = "a\xC3\xA9\xE9\x9B\xBB\xF0\x9F\x94\x8B";
  CHECK(decoded(text) == U"a\u00E9\u96FB\U0001F50B");
  std::string again;
  for (const char32_t character : decoded(text)) append_utf8(again, character);
  CHECK(again == text);
  CHECK(in_basic_plane(text) == "a\xC3\xA9\xE9\x9B\xBBU+1F50B");
}

TEST_CASE("what runs from right to left is turned, numbers in it are not") {
  // Unicode Standard Annex #9: letters right to left, European numbers left to right.
  CHECK(as_drawn(U"\u05D0\u05D1\u05D2 12") == U"12 \u05D2\u05D1\u05D0");
  CHECK(as_drawn(U"Pack \u05D0\u05D1 LFP") == U"Pack \u05D1\u05D0 LFP");
  CHECK(as_drawn(U"\u05D0\u05D1 LFP") == U"\u05D1\u05D0 LFP");
  CHECK(as_drawn(U"caf\u00E9 \u041F") == U"caf\u00E9 \u041F");
}

TEST_CASE("Arabic letters take the form that their neighbours ask for") {
  // Seen at the beginning, lam with alef at the end, meem alone: Unicode code charts, Arabic
  // Presentation Forms-B.
  CHECK(as_drawn(U"\u0633\u0644\u0627\u0645") == U"\uFEE1\uFEFC\uFEB3");
  // A non-joiner parts beh from beh and is not seen.
  CHECK(as_drawn(U"\u0628\u200C\u0628") == U"\uFE8F\uFE8F");
}

TEST_CASE("names of many scripts are set whole, and what is not is said") {
  struct Case {
    const char* name;
    const char* shortcoming;
  };
  const auto [name, shortcoming] =
      GENERATE(Case{"\xC5\x81\xC3\xB3\x64\xC5\xBA na\xC3\xAFve e\xCC\x81", ""},   // Latin
               Case{"\xCE\x91\xCE\xB8\xCE\xAE\xCE\xBD\xCE\xB1", ""},              // Greek
               Case{"\xD0\x9F\xD0\xBE\xD0\xBB\xD0\xB5", ""},                      // Cyrillic
               Case{"\xD7\xA9\xD7\x93\xD7\x94", ""},                              // Hebrew
               Case{"\xD8\xB3\xD9\x84\xD8\xA7\xD9\x85", ""},                      // Arabic
               Case{"\xE9\x9B\xBB\xE6\xB1\xA0 \xE9\x8B\xB0", ""},                 // Han
               Case{"\xE3\x82\xAB\xE3\x81\xAA", ""},                              // kana
               Case{"\xED\x95\x9C\xEA\xB8\x80", ""},                              // Hangul
               Case{"\xE0\xA4\xA6\xE0\xA4\xBF", "joined forms"},                  // Devanagari
               Case{"\xF0\x9F\x94\x8B\xEF\xB8\x8F", "U+1F50B: the code point"});  // emoji
  ReportInput input = fixture::empty_run();
  input.recording.pack.name = name;
  PdfDocument document(name, "");
  draw_test_report(document, input);
  for (const auto& fault : document.layout_faults()) FAIL_CHECK(fault);
  const auto said = document.shortcomings();
  if (*shortcoming == '\0') {
    CHECK(said.empty());
  } else {
    REQUIRE(said.size() == 1);
    CHECK(said.front().find(shortcoming) != std::string::npos);
  }
  CHECK(document.bytes().size() < 1'000'000);  // parts of typefaces, not whole ones
}

TEST_CASE("a letter put together from parts of parts is embedded whole") {
  const HPDF_Doc document = HPDF_New(nullptr, nullptr);
  HPDF_UseUTFEncodings(document);
  const auto path = path_of(other_fonts().front());
  REQUIRE(path);
  PdfFont font(document, *path);
  REQUIRE(font.handle() != nullptr);
  const auto kept = [&] {
    const auto* attributes = static_cast<HPDF_FontAttr>(font.handle()->attr);
    const auto& typeface = *static_cast<HPDF_TTFontDefAttr>(attributes->fontdef->attr);
    return std::count(typeface.glyph_tbl.flgs, typeface.glyph_tbl.flgs + typeface.num_glyphs, 1);
  };
  const std::string letter = "\xE9\x8B\xB0";
  HPDF_Font_TextWidth(font.handle(), reinterpret_cast<const HPDF_BYTE*>(letter.data()),
                      static_cast<HPDF_UINT>(letter.size()));
  const auto by_the_library = kept();
  font.use(decoded(letter).front());
  CHECK(kept() > by_the_library);
  HPDF_Free(document);
}

TEST_CASE("a name with control characters shows that it is spoilt") {
  CHECK(printable("\xF0\x9F\x94\x8B") == "\xF0\x9F\x94\x8B");
  CHECK(printable("a\x07") == "a\xEF\xBF\xBD");
  CHECK(printable("\xF3\xA0\x80\x81") == "\xEF\xBF\xBD");  // a tag, U+E0001
}

}  // namespace
}  // namespace sagbench::reports
