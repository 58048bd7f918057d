#include "reports/seal.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>

namespace sagbench::reports {
namespace {

constexpr std::int64_t kMostPieces = std::int64_t{1} << 22U;  // more only where numbers are damaged

void put(RowBytes& row, const std::optional<double>& value) {
  value ? row.real(*value) : row.nothing();
}

void put_sample(std::int64_t number, const analysis::Sample& sample, RowBytes& row) {
  row.clear();
  row.whole(number).real(sample.time_s).real(sample.round_trip_s).real(sample.voltage_v);
  row.real(sample.current_a).real(sample.commanded_a);
  put(row, sample.commanded_since_s);
  put(row, sample.load_voltage_v);
  put(row, sample.temperature_c);
  row.whole(sample.step).whole(static_cast<int>(sample.phase));
  put(row, sample.voltage_age_s);
  row.whole(sample.missed_ticks);
  for (const double volts : sample.cell_v) row.real(volts);
}

}  // namespace

std::int64_t rows_in_piece(std::string_view part) {
  return part == "sample" || part == "asked" ? 64 : 1;
}

RowBytes& RowBytes::nothing() {
  bytes_ += 'n';
  return *this;
}

RowBytes& RowBytes::whole(std::int64_t value) {
  return nine('i', static_cast<std::uint64_t>(value));
}

RowBytes& RowBytes::real(double value) {
  return nine('r', std::bit_cast<std::uint64_t>(value + 0.0));
}

RowBytes& RowBytes::counted(char kind, std::string_view value) {
  nine(kind, value.size());
  bytes_ += value;
  return *this;
}

RowBytes& RowBytes::nine(char kind, std::uint64_t value) {
  std::array<char, 9> bytes{kind};
  for (unsigned at = 0; at < 8; ++at)
    bytes[at + 1] = static_cast<char>(value >> (56U - 8U * at) & 0xFFU);
  bytes_.append(bytes.data(), bytes.size());
  return *this;
}

Sealer::Sealer(std::string_view part, std::int64_t first)
    : rows_in_piece_(sagbench::reports::rows_in_piece(part)) {
  seal_.part = part;
  seal_.first = first;
}

void Sealer::add(std::int64_t number, std::string_view row_bytes) {
  const std::int64_t piece =
      std::clamp((number - seal_.first) / rows_in_piece_, std::int64_t{0}, kMostPieces);
  if (piece != piece_ && seal_.count > 0) end_piece();
  piece_ = piece;
  piece_hash_.add(row_bytes);
  ++seal_.count;
}

void Sealer::end_piece() {
  const Sha256::Digest digest = piece_hash_.finish();
  const std::string_view bytes(reinterpret_cast<const char*>(digest.data()), digest.size());
  whole_hash_.add(bytes);
  const auto at = static_cast<std::size_t>(piece_) * kPieceBytes;
  seal_.pieces.resize(std::max(seal_.pieces.size(), at + kPieceBytes), '\0');
  seal_.pieces.replace(at, kPieceBytes, bytes.substr(0, kPieceBytes));
}

Seal Sealer::finish() {
  if (seal_.count > 0) end_piece();
  seal_.sha256 = hex(whole_hash_.finish());
  return seal_;
}

Seal seal_of_samples(std::int64_t first, std::span<const analysis::Sample> samples) {
  Sealer sealer("sample", first);
  RowBytes row;
  for (const analysis::Sample& sample : samples) {
    put_sample(first, sample, row);
    sealer.add(first++, row.bytes());
  }
  return sealer.finish();
}

std::string seal_line(const Seal& seal) {
  return fmt::format("{} {} {} {}", seal.part, seal.first, seal.count, seal.sha256);
}

std::string seal_list(const std::vector<Seal>& seals, std::string_view late) {
  std::string list = fmt::format("sagbench seal 1{}{}\n", late.empty() ? "" : " late ", late);
  for (const Seal& seal : seals) list += seal_line(seal) + '\n';
  return list;
}

std::string run_hash(const std::vector<Seal>& seals, std::string_view late) {
  Sha256 hash;
  hash.add(seal_list(seals, late));
  return hex(hash.finish());
}

}  // namespace sagbench::reports
