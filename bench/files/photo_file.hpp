#pragma once
// A photo on its way from a file into the archive.

#include <string>

#include "reports/photo.hpp"

namespace sagbench::bench {

/// Whatever its name says, by its content; without time and caption. Throws InputError: no such
/// file, no picture, too large.
reports::Photo read_photo(const std::string& path);

/// `text`, where it is one line of at most `most` characters, none of them a control character.
/// Throws InputError, which calls it `what`.
const std::string& require_line(const std::string& text, const std::string& what, std::size_t most);

}  // namespace sagbench::bench
