#include "trace.hpp"

#include <fmt/format.h>

namespace sagbench::campaign {
namespace {

std::string printable(std::string_view bytes) {
  std::string text;
  for (const char c : bytes) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte >= 0x20 && byte < 0x7f)
      text += c;
    else
      text += c == '\n' ? "\\n" : fmt::format("\\x{:02x}", byte);
  }
  return text;
}

}  // namespace

void Trace::add(drivers::Time at, std::string_view who, std::string_view what) {
  const std::int64_t ns = at.count();
  mix({reinterpret_cast<const char*>(&ns), sizeof ns});
  mix(who);
  mix(what);
  mix({"\n", 1});
  if (keep_)
    text_ += fmt::format("{:14.6f} {:10} {}\n", drivers::to_seconds(at), who, printable(what));
}

void Trace::mix(std::string_view bytes) noexcept {
  for (const char c : bytes) {
    digest_ ^= static_cast<unsigned char>(c);
    digest_ *= 1099511628211ULL;
  }
}

}  // namespace sagbench::campaign
