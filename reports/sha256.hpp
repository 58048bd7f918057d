#pragma once
// SHA-256 (FIPS 180-4), by libcrypto; on Windows by the system itself.

#include <array>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

namespace sagbench::reports {

class Sha256 {
 public:
  using Digest = std::array<std::uint8_t, 32>;

  /// Throws std::runtime_error, as every member does, where there is no SHA-256.
  Sha256();
  void add(std::string_view bytes);
  /// Of all that was added since the beginning or the last call.
  Digest finish();

 private:
  struct Free {
    void operator()(void* state) const noexcept;
  };
  std::unique_ptr<void, Free> state_;  // of whoever computes it
};

/// 64 digits, lower case.
std::string hex(const Sha256::Digest& digest);
/// Of `bytes`, in such digits: what photos, remarks and blocks are known by.
std::string hash_of(std::string_view bytes);

}  // namespace sagbench::reports
