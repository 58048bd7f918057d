// Names of files in any script. The standard library turns a narrow path into the system's wide one
// by the C library's mbrtowc(); that of Windows' msvcrt.dll takes each byte for a character, since
// it knows no UTF-8. This one takes UTF-8 (RFC 3629), as everything here is; the linker is told to
// prefer it (CMakeLists.txt beside this file).

#include <cerrno>
#include <cstddef>
#include <cwchar>

namespace {

constexpr auto kInvalid = static_cast<std::size_t>(-1);
constexpr auto kIncomplete = static_cast<std::size_t>(-2);
constexpr unsigned kFirstOfPairs = 0x10000;
constexpr unsigned kNone = 0xFFFFFFFF;

/// How many bytes a character has that begins with this one; 0 where none does.
std::size_t length_of(unsigned char first) {
  if (first < 0x80) return 1;
  if (first >= 0xC2 && first < 0xE0) return 2;
  if (first >= 0xE0 && first < 0xF0) return 3;
  return first >= 0xF0 && first < 0xF5 ? 4 : 0;
}

bool is_character(unsigned value, std::size_t length) {
  constexpr unsigned kSmallest[] = {0, 0, 0x80, 0x800, kFirstOfPairs};
  const bool surrogate = value >= 0xD800 && value < 0xE000;
  return value >= kSmallest[length] && value <= 0x10FFFF && !surrogate;
}

/// Of `length` bytes; kNone where they are no character.
unsigned decoded(const unsigned char* bytes, std::size_t length) {
  unsigned value = length == 1 ? bytes[0] : bytes[0] & (0x7FU >> length);
  for (std::size_t i = 1; i < length; ++i) {
    if ((bytes[i] & 0xC0U) != 0x80U) return kNone;
    value = (value << 6U) | (bytes[i] & 0x3FU);
  }
  return length == 1 || is_character(value, length) ? value : kNone;
}

std::size_t refuse() {
  errno = EILSEQ;
  return kInvalid;
}

}  // namespace

/// A character beyond the basic plane is two wide ones: the first is given for its first three
/// bytes, the second, which waits in `state`, for the last.
extern "C" std::size_t mbrtowc(wchar_t* to, const char* from, std::size_t count,
                               std::mbstate_t* state) {
  static std::mbstate_t own = 0;
  if (state == nullptr) state = &own;
  if (from == nullptr) {
    *state = 0;
    return 0;
  }
  if (count == 0) return kIncomplete;
  if (*state != 0) {
    if (to != nullptr) *to = static_cast<wchar_t>(*state);
    *state = 0;
    return 1;
  }
  const auto* bytes = reinterpret_cast<const unsigned char*>(from);
  const std::size_t length = length_of(bytes[0]);
  if (length == 0) return refuse();
  if (count < length) return kIncomplete;
  unsigned value = decoded(bytes, length);
  if (value == kNone) return refuse();
  if (value < kFirstOfPairs) {
    if (to != nullptr) *to = static_cast<wchar_t>(value);
    return value == 0 ? 0 : length;
  }
  value -= kFirstOfPairs;
  if (to != nullptr) *to = static_cast<wchar_t>(0xD800U + (value >> 10U));
  *state = static_cast<std::mbstate_t>(0xDC00U + (value & 0x3FFU));
  return length - 1;
}

/// Of the same object in the C library: who wants this one must not bring that library's other one.
extern "C" std::size_t mbrlen(const char* from, std::size_t count, std::mbstate_t* state) {
  static std::mbstate_t own = 0;
  return mbrtowc(nullptr, from, count, state == nullptr ? &own : state);
}
