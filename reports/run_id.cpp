#include "reports/run_id.hpp"

#include <fmt/format.h>

#include <string>
#include <string_view>

namespace sagbench::reports {
namespace {

/// Fowler, Noll, Vo; offset basis and prime of the 64-bit variant as in RFC 9923.
class Fnv1a {
 public:
  void add(std::string_view text) noexcept {
    for (const char c : text) add_byte(static_cast<unsigned char>(c));
  }
  /// With its length, so that moving a character from one text to the next changes the hash.
  void add_field(std::string_view text) {
    add(std::to_string(text.size()));
    add(":");
    add(text);
  }
  std::uint64_t value() const noexcept { return value_; }

 private:
  void add_byte(unsigned char byte) noexcept {
    value_ ^= byte;
    value_ *= 0x100000001b3U;
  }
  std::uint64_t value_ = 0xcbf29ce484222325U;
};

/// "2026-03-01T12:34:56..." to "20260301-123456"; empty when it is not of that form.
std::string stamp_of(std::string_view utc) {
  constexpr std::string_view kForm = "dddd-dd-ddTdd:dd:dd";
  if (utc.size() < kForm.size()) return {};
  std::string stamp;
  for (std::size_t i = 0; i < kForm.size(); ++i) {
    const bool digit = utc[i] >= '0' && utc[i] <= '9';
    if (kForm[i] == 'd' ? !digit : utc[i] != kForm[i]) return {};
    if (digit) stamp += utc[i];
    if (kForm[i] == 'T') stamp += '-';
  }
  return stamp;
}

}  // namespace

std::string header_hash(const RunHeader& header) {
  Fnv1a hash;
  for (const std::string* text : {&header.utc, &header.pack_name, &header.pack_json,
                                  &header.bench_json, &header.plan_json, &header.software}) {
    hash.add_field(*text);
  }
  for (const Instrument& instrument : header.instruments) {
    hash.add_field(instrument.role);
    hash.add_field(instrument.identity);
    hash.add_field(instrument.port);
    hash.add_field(instrument.calibrated);
  }
  for (const std::string& note : header.notes) hash.add_field(note);
  return fmt::format("{:016x}", hash.value());
}

std::optional<std::string> run_id(const std::string& utc, const std::string& hash_of_header,
                                  std::int64_t earlier) {
  const std::string stamp = stamp_of(utc);
  if (stamp.empty()) return std::nullopt;
  Fnv1a hash;
  hash.add(hash_of_header);
  hash.add(std::to_string(earlier));
  // The high half is folded in: FNV's low bits alone mix less.
  const std::uint64_t value = hash.value();
  const auto folded = (value ^ (value >> 32U) ^ (value >> 16U) ^ (value >> 48U)) & 0xffffU;
  return fmt::format("{}-{:04x}", stamp, folded);
}

bool is_run_id(std::string_view text) noexcept {
  constexpr std::string_view kForm = "dddddddd-dddddd-hhhh";
  if (text.size() != kForm.size()) return false;
  for (std::size_t i = 0; i < kForm.size(); ++i) {
    const char c = text[i];
    const bool digit = c >= '0' && c <= '9';
    const bool fits = kForm[i] == '-'   ? c == '-'
                      : kForm[i] == 'd' ? digit
                                        : digit || (c >= 'a' && c <= 'f');
    if (!fits) return false;
  }
  return true;
}

}  // namespace sagbench::reports
