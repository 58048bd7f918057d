#pragma once
// A QR code (ISO/IEC 18004) as text for a terminal.

#include <string>

namespace sagbench::live {

/// Dark on light whatever the terminal's own colours are, two rows of modules a line, with the
/// quiet zone that readers need. Empty where `text` is too long for one.
std::string qr_picture(const std::string& text);

}  // namespace sagbench::live
