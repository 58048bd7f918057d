#pragma once
// What part of a run was, in 64 digits, and in four bytes a piece of it, so that a change can be
// found and placed. docs/archive.md tells other programs what is hashed.

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/recording.hpp"
#include "reports/sha256.hpp"

namespace sagbench::reports {

struct Seal {
  std::string part;         // a table's name: "run", "instrument", ..., "sample"
  std::int64_t first = 0;   // the number of its first row
  std::int64_t count = 0;   // of rows
  std::string sha256 = {};  // over the SHA-256 of each piece
  std::string pieces = {};  // the first kPieceBytes of the SHA-256 of each, in order

  bool operator==(const Seal&) const = default;
};

inline constexpr std::size_t kPieceBytes = 4;

/// Rows that are hashed as one piece: those of which there are many, together.
std::int64_t rows_in_piece(std::string_view part);

/// Values of one row as bytes that nothing else has: 'n' nothing; 'i' and the eight bytes of a
/// whole number, 'r' and those of an IEEE 754 one, the highest first, a zero without its sign; 't'
/// or 'b', the length as eight bytes, and the bytes of a text or blob.
class RowBytes {
 public:
  void clear() { bytes_.clear(); }
  RowBytes& nothing();
  RowBytes& whole(std::int64_t value);
  RowBytes& real(double value);
  RowBytes& text(std::string_view value) { return counted('t', value); }
  RowBytes& blob(std::string_view value) { return counted('b', value); }
  std::string_view bytes() const noexcept { return bytes_; }

 private:
  RowBytes& counted(char kind, std::string_view value);
  RowBytes& nine(char kind, std::uint64_t value);

  std::string bytes_;
};

/// Makes the seal of rows that come in the order of their numbers. Rows that are missing make no
/// piece, or a piece of fewer rows.
class Sealer {
 public:
  Sealer(std::string_view part, std::int64_t first);
  void add(std::int64_t number, std::string_view row_bytes);
  Seal finish();

 private:
  void end_piece();

  std::int64_t rows_in_piece_;
  Seal seal_;
  std::int64_t piece_ = -1;  // that is being hashed
  Sha256 piece_hash_, whole_hash_;
};

/// The samples numbered from `first`.
Seal seal_of_samples(std::int64_t first, std::span<const analysis::Sample> samples);

/// "part first count sha256": a line of what the run's own hash is over.
std::string seal_line(const Seal& seal);
/// What the run's own hash is over. `late` is when it was sealed, if that was not when it ended.
std::string seal_list(const std::vector<Seal>& seals, std::string_view late);
std::string run_hash(const std::vector<Seal>& seals, std::string_view late);

}  // namespace sagbench::reports
