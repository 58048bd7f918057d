#include "reports/to_unicode.hpp"

#include <fmt/format.h>

#include <string>

namespace sagbench::reports {
namespace {

// A range may differ in its last byte only, and a block holds a hundred ranges at most (CMap
// specification, Adobe technical note 5014): 256 ranges in blocks of 64.
std::string identity_map() {
  std::string map =
      "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
      "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
      "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
      "1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n";
  constexpr int kBlock = 64;
  for (int high = 0; high < 256; ++high) {
    if (high % kBlock == 0) map += fmt::format("{} beginbfrange\n", kBlock);
    map += fmt::format("<{0:02X}00> <{0:02X}FF> <{0:02X}00>\n", high);
    if (high % kBlock == kBlock - 1) map += "endbfrange\n";
  }
  return map + "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n";
}

}  // namespace

void set_to_unicode(HPDF_Doc document, HPDF_Font font) {
  const HPDF_Dict stream = HPDF_DictStream_New(document->mmgr, document->xref);
  if (stream == nullptr) return;
  stream->filter = HPDF_STREAM_FILTER_FLATE_DECODE;
  HPDF_Stream_WriteStr(stream->stream, identity_map().c_str());
  HPDF_Dict_Add(font, "ToUnicode", stream);
}

}  // namespace sagbench::reports
