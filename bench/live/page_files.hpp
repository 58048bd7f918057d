#pragma once
// The files of the live page, as they were when the program was built: nothing is read or fetched
// when it runs.

#include <optional>
#include <span>
#include <string_view>

namespace sagbench::live {

struct PageFile {
  std::string_view path;  // as in the URL: "/" is the document, "/style/base.css"
  std::string_view type;  // Content-Type
  std::string_view bytes;
  std::string_view etag;  // with its quotes, made from the bytes alone
};

/// Everything the page consists of, and the licence of the library it uses; lives as long as the
/// program.
std::span<const PageFile> page_files() noexcept;

/// The file of exactly that path; nothing else is looked for.
std::optional<PageFile> page_file(std::string_view path) noexcept;

}  // namespace sagbench::live
