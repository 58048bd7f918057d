#pragma once
// Everything that happened, in one text: two runs of a seed must agree in every byte of it.

#include <cstdint>
#include <string>
#include <string_view>

#include "drivers/clock.hpp"

namespace sagbench::campaign {

class Trace {
 public:
  /// Without `keep` only the digest is kept.
  explicit Trace(bool keep) : keep_(keep) {}

  /// `what` may hold any bytes.
  void add(drivers::Time at, std::string_view who, std::string_view what);
  /// FNV-1a, 64 bits (G. Fowler, L. C. Noll, K.-P. Vo).
  std::uint64_t digest() const noexcept { return digest_; }
  const std::string& text() const noexcept { return text_; }

 private:
  void mix(std::string_view bytes) noexcept;

  bool keep_;
  std::uint64_t digest_ = 14695981039346656037ULL;
  std::string text_;
};

}  // namespace sagbench::campaign
