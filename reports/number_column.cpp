#include "reports/number_column.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>

namespace sagbench::reports {
namespace {

enum class Kind : char { absent = 0, decimal = 1, plain = 2 };

// Exact as doubles, so that a whole number divided by one is the decimal number nearest to it.
constexpr std::array<double, 13> kTenTo = {1e0, 1e1, 1e2, 1e3,  1e4,  1e5, 1e6,
                                           1e7, 1e8, 1e9, 1e10, 1e11, 1e12};
constexpr double kLargestWhole = 4503599627370496.0;  // 2^52: twice its differences fit as well
constexpr unsigned kGroupBits = 7, kByteBits = 8;
constexpr std::uint64_t kGroup = 0x7F, kMore = 0x80;
constexpr std::size_t kHighestOrder = 2;

using Wholes = std::vector<std::int64_t>;

std::uint64_t zigzag(std::int64_t value) {
  return (static_cast<std::uint64_t>(value) << 1U) ^ static_cast<std::uint64_t>(value >> 63);
}

std::int64_t unzigzag(std::uint64_t value) {
  return static_cast<std::int64_t>(value >> 1U) ^ -static_cast<std::int64_t>(value & 1U);
}

/// Every value times ten to that power, where all of them are whole.
std::optional<Wholes> wholes(const std::vector<double>& values, double ten_to) {
  Wholes found;
  found.reserve(values.size());
  for (const double value : values) {
    const double scaled = value * ten_to;
    if (!(std::abs(scaled) < kLargestWhole)) return std::nullopt;
    const double whole = std::nearbyint(scaled);
    if (whole / ten_to != value) return std::nullopt;
    found.push_back(static_cast<std::int64_t>(whole));
  }
  return found;
}

Wholes differences(const Wholes& values) {
  Wholes found(values.size());
  std::int64_t before = 0;
  for (std::size_t i = 0; i < values.size(); before = values[i++]) found[i] = values[i] - before;
  return found;
}

std::string packed(const Wholes& values) {
  std::string bytes;
  for (const std::int64_t value : values) encode_whole(zigzag(value), bytes);
  return bytes;
}

void encode_decimal(Wholes values, std::size_t decimals, std::string& bytes) {
  std::string shortest = packed(values);
  std::size_t order = 0;
  for (std::size_t higher = 1; higher <= kHighestOrder; ++higher) {
    values = differences(values);
    std::string other = packed(values);
    if (other.size() >= shortest.size()) continue;
    shortest.swap(other);
    order = higher;
  }
  bytes.push_back(static_cast<char>(decimals));
  bytes.push_back(static_cast<char>(order));
  bytes += shortest;
}

void encode_plain(const std::vector<double>& values, std::string& bytes) {
  for (unsigned shift = 0; shift < sizeof(double) * kByteBits; shift += kByteBits) {
    std::uint64_t before = 0;
    for (const double value : values) {
      const auto bits = std::bit_cast<std::uint64_t>(value);
      bytes.push_back(static_cast<char>(((bits ^ before) >> shift) & 0xFFU));
      before = bits;
    }
  }
}

void encode_presence(std::span<const double> column, std::string& bytes) {
  for (std::size_t first = 0; first < column.size(); first += kByteBits) {
    unsigned bits = 0;
    for (std::size_t i = first; i < column.size() && i < first + kByteBits; ++i)
      bits |= std::isnan(column[i]) ? 0U : 1U << (i - first);
    bytes.push_back(static_cast<char>(bits));
  }
}

std::optional<unsigned char> take_byte(std::string_view& bytes) {
  if (bytes.empty()) return std::nullopt;
  const auto byte = static_cast<unsigned char>(bytes.front());
  bytes.remove_prefix(1);
  return byte;
}

/// The bits of the rows, eight a byte; empty where every row has a number.
std::optional<std::string_view> take_presence(std::size_t rows, std::string_view& bytes) {
  const auto some_missing = take_byte(bytes);
  if (!some_missing || *some_missing > 1) return std::nullopt;
  const std::size_t size = *some_missing == 0 ? 0 : (rows + kByteBits - 1) / kByteBits;
  if (bytes.size() < size) return std::nullopt;
  const std::string_view presence = bytes.substr(0, size);
  bytes.remove_prefix(size);
  return presence;
}

bool has_number(std::string_view presence, std::size_t row) {
  return (static_cast<unsigned char>(presence[row / kByteBits]) >> (row % kByteBits) & 1U) != 0;
}

std::size_t numbers_in(std::string_view presence, std::size_t rows) {
  if (presence.empty()) return rows;
  std::size_t count = 0;
  for (std::size_t row = 0; row < rows; ++row) count += has_number(presence, row) ? 1U : 0U;
  return count;
}

/// Moves the numbers, which stand at the column's beginning, to their rows.
void spread(std::string_view presence, std::size_t numbers, std::span<double> column) {
  if (presence.empty()) return;
  for (std::size_t row = column.size(); row-- > 0;)
    column[row] = has_number(presence, row) ? column[--numbers] : kNoNumber;
}

bool take_whole(const char*& at, const char* end, std::uint64_t& value) {
  value = 0;
  for (unsigned shift = 0; shift < 64; shift += kGroupBits) {
    if (at == end) return false;
    const auto byte = std::uint64_t{static_cast<unsigned char>(*at++)};
    value |= (byte & kGroup) << shift;
    if (byte <= kGroup) return true;
  }
  return false;
}

/// Numbers times ten to some power, from their differences of that order.
template <std::size_t kOrder>
bool take_differences(std::string_view& bytes, std::span<double> numbers) {
  const char* at = bytes.data();
  const char* const end = at + bytes.size();
  std::array<std::uint64_t, kHighestOrder> before{};  // unsigned: damage must not overflow
  for (double& number : numbers) {
    std::uint64_t group = 0;
    if (!take_whole(at, end, group)) return false;
    auto whole = static_cast<std::uint64_t>(unzigzag(group));
    for (std::size_t level = kOrder; level-- > 0;) whole = before[level] += whole;
    number = static_cast<double>(static_cast<std::int64_t>(whole));
  }
  bytes.remove_prefix(static_cast<std::size_t>(at - bytes.data()));
  return true;
}

bool take_decimal(std::string_view& bytes, std::span<double> numbers) {
  static constexpr std::array kTakers = {take_differences<0>, take_differences<1>,
                                         take_differences<kHighestOrder>};
  const auto decimals = take_byte(bytes);
  const auto order = take_byte(bytes);
  if (!decimals || !order || *decimals >= kTenTo.size() || *order > kHighestOrder) return false;
  if (!kTakers[*order](bytes, numbers)) return false;
  if (*decimals == 0) return true;
  for (double& number : numbers) number /= kTenTo[*decimals];
  return true;
}

bool take_plain(std::string_view& bytes, std::span<double> numbers) {
  const std::size_t count = numbers.size();
  if (bytes.size() / sizeof(double) < count) return false;
  std::uint64_t before = 0;
  for (std::size_t i = 0; i < count; ++i) {
    std::uint64_t bits = 0;
    for (std::size_t plane = 0; plane < sizeof(double); ++plane)
      bits |= std::uint64_t{static_cast<unsigned char>(bytes[plane * count + i])}
              << (plane * kByteBits);
    before ^= bits;
    numbers[i] = std::bit_cast<double>(before);
    if (!std::isfinite(numbers[i])) return false;
  }
  bytes.remove_prefix(count * sizeof(double));
  return true;
}

}  // namespace

void encode_whole(std::uint64_t value, std::string& bytes) {
  for (; value > kGroup; value >>= kGroupBits) bytes.push_back(static_cast<char>(value | kMore));
  bytes.push_back(static_cast<char>(value));
}

std::optional<std::uint64_t> decode_whole(std::string_view& bytes) {
  const char* at = bytes.data();
  std::uint64_t value = 0;
  if (!take_whole(at, bytes.data() + bytes.size(), value)) return std::nullopt;
  bytes.remove_prefix(static_cast<std::size_t>(at - bytes.data()));
  return value;
}

void encode_column(std::span<const double> column, std::string& bytes) {
  std::vector<double> values;
  values.reserve(column.size());
  for (const double value : column)
    if (!std::isnan(value)) values.push_back(value + 0.0);  // -0.0 becomes 0.0
  if (values.empty()) {
    bytes.push_back(static_cast<char>(Kind::absent));
    return;
  }
  const auto begin = [&](Kind kind) {
    const bool some_missing = values.size() < column.size();
    bytes.push_back(static_cast<char>(kind));
    bytes.push_back(some_missing ? 1 : 0);
    if (some_missing) encode_presence(column, bytes);
  };
  for (std::size_t decimals = 0; decimals < kTenTo.size(); ++decimals) {
    auto found = wholes(values, kTenTo[decimals]);
    if (!found) continue;
    begin(Kind::decimal);
    return encode_decimal(std::move(*found), decimals, bytes);
  }
  begin(Kind::plain);
  encode_plain(values, bytes);
}

bool decode_column(std::string_view& bytes, std::span<double> column) {
  const auto kind = take_byte(bytes);
  if (!kind || *kind > static_cast<unsigned char>(Kind::plain)) return false;
  if (static_cast<Kind>(*kind) == Kind::absent) {
    std::ranges::fill(column, kNoNumber);
    return true;
  }
  const auto presence = take_presence(column.size(), bytes);
  if (!presence) return false;
  const auto numbers = column.first(numbers_in(*presence, column.size()));
  const bool taken = static_cast<Kind>(*kind) == Kind::decimal ? take_decimal(bytes, numbers)
                                                               : take_plain(bytes, numbers);
  if (taken) spread(*presence, numbers.size(), column);
  return taken;
}

}  // namespace sagbench::reports
