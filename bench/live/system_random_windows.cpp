#include <windows.h>
// After it: it wants its types.
#include <bcrypt.h>

#include <system_error>

#include "bench/live/system_random.hpp"

namespace sagbench::live {

void fill_with_random(std::span<char> bytes) {
  const NTSTATUS status =
      BCryptGenRandom(nullptr, reinterpret_cast<UCHAR*>(bytes.data()),
                      static_cast<ULONG>(bytes.size()), BCRYPT_USE_SYSTEM_PREFERRED_RNG);
  if (status < 0)
    throw std::system_error(std::make_error_code(std::errc::io_error),
                            "the system gives no random number");
}

bool same_bytes(std::string_view one, std::string_view other) noexcept {
  volatile unsigned char differ = 0;  // so that the compiler does not leave the loop early
  for (std::size_t i = 0; i < other.size(); ++i)
    differ = static_cast<unsigned char>(differ | (one[i] ^ other[i]));
  return differ == 0;
}

}  // namespace sagbench::live
