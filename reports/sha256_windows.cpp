#include <windows.h>
// After it: it wants its types.
#include <bcrypt.h>

#include <algorithm>
#include <stdexcept>

#include "reports/sha256.hpp"

namespace sagbench::reports {
namespace {

void require(NTSTATUS status) {
  if (status < 0) throw std::runtime_error("the system gives no SHA-256");
}

/// Never closed: whatever hashes last may do so when all else has gone.
BCRYPT_ALG_HANDLE algorithm() {
  static const BCRYPT_ALG_HANDLE opened = [] {
    BCRYPT_ALG_HANDLE handle = nullptr;
    require(BCryptOpenAlgorithmProvider(&handle, BCRYPT_SHA256_ALGORITHM, nullptr,
                                        BCRYPT_HASH_REUSABLE_FLAG));
    return handle;
  }();
  return opened;
}

UCHAR* bytes_of(const char* bytes) {
  return reinterpret_cast<UCHAR*>(const_cast<char*>(bytes));  // which is only read
}

}  // namespace

void Sha256::Free::operator()(void* state) const noexcept {
  BCryptDestroyHash(state);
}

Sha256::Sha256() {
  BCRYPT_HASH_HANDLE made = nullptr;
  // As it was at its beginning again behind each end.
  require(BCryptCreateHash(algorithm(), &made, nullptr, 0, nullptr, 0, BCRYPT_HASH_REUSABLE_FLAG));
  state_.reset(made);
}

void Sha256::add(std::string_view bytes) {
  constexpr std::size_t kMostAtOnce = 1U << 30U;
  while (!bytes.empty()) {
    const std::size_t count = std::min(bytes.size(), kMostAtOnce);
    require(BCryptHashData(state_.get(), bytes_of(bytes.data()), static_cast<ULONG>(count), 0));
    bytes.remove_prefix(count);
  }
}

Sha256::Digest Sha256::finish() {
  Digest digest;
  require(BCryptFinishHash(state_.get(), digest.data(), static_cast<ULONG>(digest.size()), 0));
  return digest;
}

}  // namespace sagbench::reports
