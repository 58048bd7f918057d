// Samples come back from a block as they went in; a damaged block gives none.
#include "reports/sample_block.hpp"

#include <bit>
#include <cmath>
#include <limits>
#include <random>
#include <string>

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "deflated.hpp"
#include "reports/number_column.hpp"

namespace sagbench::reports {
namespace {

using analysis::Phase;
using analysis::Sample;
using testing::deflated;
using testing::example_samples;

bool same(const Sample& left, const Sample& right) {
  return left.time_s == right.time_s && left.round_trip_s == right.round_trip_s &&
         left.voltage_v == right.voltage_v && left.current_a == right.current_a &&
         left.commanded_a == right.commanded_a &&
         left.commanded_since_s == right.commanded_since_s &&
         left.load_voltage_v == right.load_voltage_v && left.temperature_c == right.temperature_c &&
         left.cell_v == right.cell_v && left.step == right.step && left.phase == right.phase &&
         left.voltage_age_s == right.voltage_age_s && left.missed_ticks == right.missed_ticks;
}

/// As instruments and a clock in nanoseconds give them: taps and temperature with every tenth.
std::vector<Sample> measured_samples(int count) {
  std::mt19937 random(5);
  std::normal_distribution<double> noise(0.0, 0.0004);
  std::vector<Sample> samples = example_samples(0, count);
  for (int i = 0; i < count; ++i) {
    Sample& sample = samples[static_cast<std::size_t>(i)];
    sample.time_s = std::round(1e9 * (0.1 * i + std::abs(noise(random)))) / 1e9;
    sample.round_trip_s = std::round(1e9 * (0.004 + std::abs(noise(random)))) / 1e9;
    sample.voltage_v = std::round(1e5 * (13.2 - 1e-5 * i + noise(random))) / 1e5;
    sample.current_a = std::round(1e4 * (2.0 + noise(random))) / 1e4;
    sample.commanded_since_s = 0.25;
    sample.missed_ticks = i % 100 == 0 ? 3 : 0;
    sample.phase = i < count / 2 ? Phase::rest : Phase::trip_search;
    if (i % 10 != 0) continue;
    sample.temperature_c = 21.5;
    sample.cell_v = {3.301, 3.302, 3.299, 3.3};
    sample.load_voltage_v = 13.17;
    sample.voltage_age_s = 0.031;
  }
  return samples;
}

std::vector<Sample> through(const std::vector<Sample>& samples) {
  std::vector<Sample> found = measured_samples(static_cast<int>(samples.size()));  // something else
  REQUIRE(decode_block(encode_block(samples), found));
  return found;
}

void require_same(const std::vector<Sample>& left, const std::vector<Sample>& right) {
  REQUIRE(left.size() == right.size());
  for (std::size_t i = 0; i < left.size(); ++i) REQUIRE(same(left[i], right[i]));
}

/// As bits, so that rows without a number compare as well.
std::vector<std::uint64_t> bits_of(const NumberColumn& column) {
  std::vector<std::uint64_t> bits;
  for (const double number : column) bits.push_back(std::bit_cast<std::uint64_t>(number));
  return bits;
}

NumberColumn through(const NumberColumn& column) {
  std::string bytes;
  encode_column(column, bytes);
  std::string_view left = bytes;
  NumberColumn found(column.size(), 1.0);
  REQUIRE(decode_column(left, found));
  REQUIRE(left.empty());
  return found;
}

}  // namespace

TEST_CASE("Every number comes back from a column bit for bit") {
  using Limits = std::numeric_limits<double>;
  const NumberColumn column = GENERATE(
      NumberColumn{}, NumberColumn{kNoNumber, kNoNumber},
      NumberColumn{0.1, 0.2, 0.30000000000000004, 1.0 / 3.0},
      NumberColumn{13.2045, kNoNumber, -13.2046, 0.0, 4503599627370495.0, -4503599627370495.0},
      NumberColumn{4503599627370497.0, 9007199254740992.0, -9007199254740992.0},
      NumberColumn{Limits::max(), Limits::lowest(), Limits::min(), Limits::denorm_min(), 1e-300},
      NumberColumn{1e-12, 2e-12}, NumberColumn{1e-13, 1.0},
      NumberColumn{kNoNumber, 1.5, kNoNumber, kNoNumber, 1.0 / 3.0, kNoNumber, 2.5, 1e9,
                   kNoNumber});
  CHECK(bits_of(through(column)) == bits_of(column));
}

TEST_CASE("Random doubles of every size come back, some missing") {
  std::mt19937_64 random(11);
  std::uniform_real_distribution<double> exponent(-300.0, 300.0), mantissa(-1.0, 1.0);
  NumberColumn column(1001, kNoNumber);
  for (double& value : column)
    if (random() % 3 != 0) value = mantissa(random) * std::pow(10.0, exponent(random));
  CHECK(bits_of(through(column)) == bits_of(column));
}

TEST_CASE("A zero comes back without its sign") {
  CHECK(bits_of(through(NumberColumn{-0.0, 0.5})) == bits_of({0.0, 0.5}));
}

TEST_CASE("Samples come back from a block with every field") {
  require_same(through(measured_samples(4096)), measured_samples(4096));
  require_same(through(example_samples(7, 100)), example_samples(7, 100));
  require_same(through(std::vector<Sample>{}), {});
}

TEST_CASE("Taps that come and go keep their count") {
  std::vector<Sample> samples = example_samples(0, 4);
  samples[0].cell_v = {3.3};
  samples[1].cell_v = {3.3, 3.4, 3.2};
  samples[3].cell_v = {3.3, 3.1};
  require_same(through(samples), samples);
}

TEST_CASE("A measured sample takes no more than 13 bytes") {
  const auto samples = measured_samples(4096);
  const double bytes = static_cast<double>(encode_block(samples).size());
  CHECK(bytes / static_cast<double>(samples.size()) < 13.0);
}

TEST_CASE("A damaged block gives nothing, or what was packed") {
  const auto samples = measured_samples(40);
  const std::string block = encode_block(samples);
  std::vector<Sample> found(samples.size());
  SECTION("any byte changed to any other") {
    for (std::size_t at = 0; at < block.size(); ++at) {
      for (unsigned change = 1; change < 256; ++change) {
        std::string other = block;
        other[at] = static_cast<char>(static_cast<unsigned char>(other[at]) ^ change);
        if (decode_block(other, found)) require_same(found, samples);
      }
    }
  }
  SECTION("cut short, or something after it") {
    for (std::size_t size = 0; size < block.size(); ++size)
      CHECK_FALSE(decode_block(std::string_view(block).substr(0, size), found));
    CHECK_FALSE(decode_block(block + '\0', found));
  }
  SECTION("another count of samples") {
    for (const std::size_t count : {samples.size() - 1, samples.size() + 1, kSamplesInBlock + 1}) {
      found.resize(count);
      CHECK_FALSE(decode_block(block, found));
    }
  }
}

TEST_CASE("What deflates well but is no block gives nothing") {
  const std::string endless(std::size_t{40} << 20U, '\0');  // 40 kB deflated
  std::vector<Sample> found(40);
  for (const std::string_view bytes :
       {std::string_view(), std::string_view("\x07"), std::string_view("\x01\x00\x0d", 3),
        std::string_view(endless)})
    CHECK_FALSE(decode_block(deflated(bytes), found));
}

TEST_CASE("Bytes that are no column are refused, whatever they are") {
  std::mt19937 random(3);
  NumberColumn found(8);
  for (int round = 0; round < 20'000; ++round) {
    std::string bytes(random() % 40, '\0');
    for (char& byte : bytes) byte = static_cast<char>(random());
    if (!bytes.empty()) bytes[0] = static_cast<char>(random() % 4);
    std::string_view left = bytes;
    if (decode_column(left, found))
      for (const double number : found) REQUIRE_FALSE(std::isinf(number));
    REQUIRE(left.size() <= bytes.size());
  }
}

}  // namespace sagbench::reports
