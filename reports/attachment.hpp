#pragma once

#include <cstddef>
#include <string>

#include "reports/run_folder.hpp"

namespace sagbench::reports {

/// A file as a PDF carries it.
struct Attachment {
  std::string name;
  std::string mime;
  std::string what;  // one line for people
  std::size_t size = 0;
  std::string deflated;  // RFC 1950
};

Attachment attachment_of(const RunFile& file);

}  // namespace sagbench::reports
