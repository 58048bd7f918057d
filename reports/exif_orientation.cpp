#include "reports/exif_orientation.hpp"

#include <cstddef>
#include <cstdint>

#include "reports/byte_order.hpp"

namespace sagbench::reports {
namespace {

constexpr int kUpright = 1;

/// TIFF's numbers, in the order of bytes that its first two tell.
class Tiff {
 public:
  explicit Tiff(std::string_view bytes) : bytes_(bytes), lowest_first_(bytes.starts_with("II")) {}

  bool holds(std::size_t at, std::size_t size) const {
    return at <= bytes_.size() && size <= bytes_.size() - at;
  }
  std::uint16_t whole_16(std::size_t at) const {
    return lowest_first_ ? lowest_first_16(bytes_, at) : highest_first_16(bytes_, at);
  }
  std::uint32_t whole_32(std::size_t at) const {
    return lowest_first_ ? lowest_first_32(bytes_, at) : highest_first_32(bytes_, at);
  }

 private:
  std::string_view bytes_;
  bool lowest_first_;
};

}  // namespace

int exif_orientation(std::string_view content) {
  constexpr std::string_view kExif("Exif\0\0", 6);
  constexpr std::size_t kHead = 8, kEntry = 12, kValueIn = 8;
  constexpr std::uint16_t kTag = 274, kSidesMost = 8;
  if (!content.starts_with(kExif)) return kUpright;
  const Tiff tiff(content.substr(kExif.size()));
  if (!tiff.holds(0, kHead)) return kUpright;
  std::size_t at = tiff.whole_32(4);
  if (!tiff.holds(at, 2)) return kUpright;
  const std::size_t entries = tiff.whole_16(at);
  at += 2;
  for (std::size_t i = 0; i < entries && tiff.holds(at, kEntry); ++i, at += kEntry) {
    if (tiff.whole_16(at) != kTag) continue;
    const std::uint16_t value = tiff.whole_16(at + kValueIn);
    return value >= kUpright && value <= kSidesMost ? value : kUpright;
  }
  return kUpright;
}

}  // namespace sagbench::reports
