#pragma once
// Makes the text of a PDF searchable and readable aloud in every viewer.

#include <hpdf.h>

namespace sagbench::reports {

/// Replaces the map from character codes to Unicode that libharu 2.3 writes for its UTF-8 encoder
/// (it uses an operator that has no place in such a map, ISO 32000-1, 9.10.3, and viewers reject
/// it). The codes are UTF-16 units of the basic plane already, so the right map is the identity.
/// Errors go to the document's handler.
void set_to_unicode(HPDF_Doc document, HPDF_Font font);

}  // namespace sagbench::reports
