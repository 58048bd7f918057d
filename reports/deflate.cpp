#include "reports/deflate.hpp"

#include <libdeflate.h>

#include <algorithm>
#include <memory>
#include <new>

namespace sagbench::reports {
namespace {

template <class Tool, void (*kFree)(Tool*)>
struct Freed {
  void operator()(Tool* tool) const noexcept { kFree(tool); }
};

template <class Tool, void (*kFree)(Tool*)>
std::unique_ptr<Tool, Freed<Tool, kFree>> owned(Tool* tool) {
  if (tool == nullptr) throw std::bad_alloc();
  return std::unique_ptr<Tool, Freed<Tool, kFree>>(tool);
}

}  // namespace

std::string deflated(std::string_view bytes, int level) {
  const auto tool =
      owned<libdeflate_compressor, libdeflate_free_compressor>(libdeflate_alloc_compressor(level));
  std::string block(libdeflate_zlib_compress_bound(tool.get(), bytes.size()), '\0');
  block.resize(
      libdeflate_zlib_compress(tool.get(), bytes.data(), bytes.size(), block.data(), block.size()));
  return block;
}

std::optional<std::string> inflated(std::string_view bytes, std::size_t most) {
  constexpr std::size_t kUsualGrowth = 4;
  const auto tool =
      owned<libdeflate_decompressor, libdeflate_free_decompressor>(libdeflate_alloc_decompressor());
  std::string whole;
  for (std::size_t room = bytes.size() * kUsualGrowth;; room *= kUsualGrowth) {
    whole.resize(std::min(room, most));
    std::size_t used = 0, size = 0;
    const auto code = libdeflate_zlib_decompress_ex(tool.get(), bytes.data(), bytes.size(),
                                                    whole.data(), whole.size(), &used, &size);
    if (code == LIBDEFLATE_SUCCESS) {
      if (used != bytes.size()) return std::nullopt;
      whole.resize(size);
      return whole;
    }
    if (code != LIBDEFLATE_INSUFFICIENT_SPACE || whole.size() == most) return std::nullopt;
  }
}

}  // namespace sagbench::reports
