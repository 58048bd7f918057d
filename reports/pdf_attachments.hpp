#pragma once
// Files attached to a PDF (ISO 32000-1, 7.11.4), put in and taken out.

#include <cstddef>
#include <map>
#include <string>
#include <vector>

#include "reports/attachment.hpp"

namespace sagbench::reports {

/// The document with `attachments`, each told to be what the document was made from (ISO 32000-2,
/// 14.13), and its streams deflated. Same input, same bytes. Precondition: `pdf` is one, without
/// attachments.
std::string with_attachments(const std::string& pdf, const std::vector<Attachment>& attachments);

/// A year at a sample a second.
constexpr std::size_t kMostAttachedBytes = 1'000'000'000;

/// What is attached to the PDF at `path`, by name. ReportError, one line: not a PDF, damaged,
/// encrypted, or more than `most_bytes` inside.
std::map<std::string, std::string> attachments_of(const std::string& path,
                                                  std::size_t most_bytes = kMostAttachedBytes);

}  // namespace sagbench::reports
