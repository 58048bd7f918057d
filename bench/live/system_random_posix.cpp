#include <openssl/crypto.h>
#include <sys/random.h>

#include <cerrno>
#include <system_error>

#include "bench/live/system_random.hpp"

namespace sagbench::live {

void fill_with_random(std::span<char> bytes) {
  if (getrandom(bytes.data(), bytes.size(), 0) != static_cast<ssize_t>(bytes.size()))
    throw std::system_error(errno, std::generic_category(), "the system gives no random number");
}

bool same_bytes(std::string_view one, std::string_view other) noexcept {
  return CRYPTO_memcmp(one.data(), other.data(), other.size()) == 0;
}

}  // namespace sagbench::live
