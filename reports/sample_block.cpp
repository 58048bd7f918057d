#include "reports/sample_block.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <optional>
#include <vector>

#include "reports/deflate.hpp"
#include "reports/number_column.hpp"

namespace sagbench::reports {
namespace {

using analysis::Phase;
using analysis::Sample;

/// One number of each sample: how to read it, and how to set it; false where it cannot be that.
struct Field {
  void (*get)(std::span<const Sample>, NumberColumn&);
  bool (*put)(const NumberColumn&, std::span<Sample>);
};

/// `Access` has `of(sample)`, a number or kNoNumber, and `set(sample, number)`, false where it
/// cannot be that.
template <class Access>
constexpr Field kField = {[](std::span<const Sample> samples, NumberColumn& column) {
                            std::ranges::transform(samples, column.begin(), Access::of);
                          },
                          [](const NumberColumn& column, std::span<Sample> samples) {
                            bool good = true;
                            for (std::size_t i = 0; i < samples.size(); ++i)
                              good = Access::set(samples[i], column[i]) && good;
                            return good;
                          }};

template <double Sample::*kMember>
struct Number {
  static double of(const Sample& sample) { return sample.*kMember; }
  static bool set(Sample& sample, double number) {
    sample.*kMember = number;
    return !std::isnan(number);
  }
};

template <std::optional<double> Sample::*kMember>
struct Maybe {
  static double of(const Sample& sample) { return (sample.*kMember).value_or(kNoNumber); }
  static bool set(Sample& sample, double number) {
    sample.*kMember = std::isnan(number) ? std::nullopt : std::optional(number);
    return true;
  }
};

std::optional<std::int32_t> whole(double number) {
  constexpr double kLowest = -2147483648.0, kHighest = 2147483647.0;
  if (!(number >= kLowest && number <= kHighest)) return std::nullopt;
  const auto found = static_cast<std::int32_t>(number);
  return found == number ? std::optional(found) : std::nullopt;
}

template <std::int32_t Sample::*kMember>
struct Whole {
  static double of(const Sample& sample) { return sample.*kMember; }
  static bool set(Sample& sample, double number) {
    const auto found = whole(number);
    if (found) sample.*kMember = *found;
    return found.has_value();
  }
};

struct PhaseNumber {
  static double of(const Sample& sample) { return static_cast<double>(sample.phase); }
  static bool set(Sample& sample, double number) {
    const auto found = whole(number);
    if (!found || *found < 0 || *found > static_cast<int>(Phase::trip_search)) return false;
    sample.phase = static_cast<Phase>(*found);
    return true;
  }
};

// The order of the columns in a block.
constexpr std::array kFields = {
    kField<Number<&Sample::time_s>>,        kField<Number<&Sample::round_trip_s>>,
    kField<Number<&Sample::voltage_v>>,     kField<Number<&Sample::current_a>>,
    kField<Number<&Sample::commanded_a>>,   kField<Maybe<&Sample::commanded_since_s>>,
    kField<Maybe<&Sample::load_voltage_v>>, kField<Maybe<&Sample::temperature_c>>,
    kField<Whole<&Sample::step>>,           kField<PhaseNumber>,
    kField<Maybe<&Sample::voltage_age_s>>,  kField<Whole<&Sample::missed_ticks>>};

void encode_cells(std::span<const Sample> samples, std::string& bytes) {
  std::size_t taps = 0;
  for (const Sample& sample : samples) taps = std::max(taps, sample.cell_v.size());
  encode_whole(taps, bytes);
  NumberColumn column(samples.size());
  for (std::size_t tap = 0; tap < taps; ++tap) {
    for (std::size_t i = 0; i < samples.size(); ++i) {
      const auto& cell_v = samples[i].cell_v;
      column[i] = tap < cell_v.size() ? cell_v[tap] : kNoNumber;
    }
    encode_column(column, bytes);
  }
}

bool decode_cells(std::string_view& bytes, std::span<Sample> samples) {
  const auto taps = decode_whole(bytes);
  if (!taps || *taps > kMostTaps) return false;
  for (Sample& sample : samples) sample.cell_v.clear();
  NumberColumn column(samples.size());
  for (std::uint64_t tap = 0; tap < *taps; ++tap) {
    if (!decode_column(bytes, column)) return false;
    for (std::size_t i = 0; i < samples.size(); ++i) {
      if (std::isnan(column[i])) continue;
      auto& cell_v = samples[i].cell_v;
      if (cell_v.size() != tap) return false;  // a tap without those before it
      if (tap == 0) cell_v.reserve(*taps);
      cell_v.push_back(column[i]);
    }
  }
  return true;
}

bool decode_fields(std::string_view& bytes, std::span<Sample> samples) {
  NumberColumn column(samples.size());
  return std::ranges::all_of(kFields, [&](const Field& field) {
    return decode_column(bytes, column) && field.put(column, samples);
  });
}

// A block of 4096 samples with 255 taps grows to some 11 MB at most.
constexpr std::size_t kMostBytes = std::size_t{32} << 20U;
constexpr int kDeflateLevel = 6;  // higher ones save a thousandth

}  // namespace

std::string encode_block(std::span<const Sample> samples) {
  std::string bytes;
  NumberColumn column(samples.size());
  for (const Field& field : kFields) {
    field.get(samples, column);
    encode_column(column, bytes);
  }
  encode_cells(samples, bytes);
  return deflated(bytes, kDeflateLevel);
}

bool decode_block(std::string_view block, std::span<Sample> samples) {
  if (samples.size() > kSamplesInBlock) return false;
  const auto bytes = inflated(block, kMostBytes);
  if (!bytes) return false;
  std::string_view left = *bytes;
  return decode_fields(left, samples) && decode_cells(left, samples) && left.empty();
}

}  // namespace sagbench::reports
