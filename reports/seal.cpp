#include "reports/seal.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace sagbench::reports {
namespace {

constexpr std::int64_t kMostPieces = std::int64_t{1} << 22U;  // more only where numbers are damaged
constexpr std::size_t kHashedTogether = std::size_t{1} << 15U;  // bytes: most pieces are fewer

void put(RowBytes& row, const std::optional<double>& value) {
  value ? row.real(*value) : row.nothing();
}

void put_sample(std::int64_t number, const analysis::Sample& sample, RowBytes& row) {
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

RowBytes& RowBytes::counted(char kind, std::string_view value) {
  nine(kind, value.size());
  std::ranges::copy(value, more(value.size()));
  return *this;
}

Sealer::Sealer(std::string_view part, std::int64_t first)
    : rows_in_piece_(sagbench::reports::rows_in_piece(part)) {
  seal_.part = part;
  seal_.first = first;
}

RowBytes& Sealer::row(std::int64_t number) {
  const std::int64_t piece =
      std::clamp((number - seal_.first) / rows_in_piece_, std::int64_t{0}, kMostPieces);
  if (piece != piece_ && seal_.count > 0) end_piece();
  if (rows_.bytes().size() >= kHashedTogether) hash_rows();
  piece_ = piece;
  ++seal_.count;
  return rows_;
}

void Sealer::hash_rows() {
  piece_hash_.add(rows_.bytes());
  rows_.clear();
}

void Sealer::end_piece() {
  hash_rows();
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
  for (const analysis::Sample& sample : samples) {
    put_sample(first, sample, sealer.row(first));
    ++first;
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
