#pragma once
// What part of a run was, in 64 digits, and in four bytes a piece of it, so that a change can be
// found and placed. docs/archive.md tells other programs what is hashed.

#include <bit>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "analysis/recording.hpp"
#include "reports/byte_order.hpp"
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

/// Values of rows as bytes that nothing else has: 'n' nothing; 'i' and the eight bytes of a
/// whole number, 'r' and those of an IEEE 754 one, the highest first, a zero without its sign; 't'
/// or 'b', the length as eight bytes, and the bytes of a text or blob.
class RowBytes {
 public:
  void clear() noexcept { size_ = 0; }
  RowBytes& nothing() {
    *more(1) = 'n';
    return *this;
  }
  RowBytes& whole(std::int64_t value) { return nine('i', static_cast<std::uint64_t>(value)); }
  RowBytes& real(double value) { return nine('r', std::bit_cast<std::uint64_t>(value + 0.0)); }
  RowBytes& text(std::string_view value) { return counted('t', value); }
  RowBytes& blob(std::string_view value) { return counted('b', value); }
  std::string_view bytes() const noexcept { return {room_.data(), size_}; }

 private:
  /// Room for so many more bytes, which now count as put.
  char* more(std::size_t bytes) {
    if (room_.size() - size_ < bytes) room_.resize(2 * room_.size() + bytes);
    return room_.data() + std::exchange(size_, size_ + bytes);
  }
  RowBytes& nine(char kind, std::uint64_t value) {
    char* const at = more(1 + sizeof value);
    *at = kind;
    put_highest_first_64(value, at + 1);
    return *this;
  }
  RowBytes& counted(char kind, std::string_view value);

  // A string that grew by each value took several times as long: millions of them are sealed.
  std::vector<char> room_;
  std::size_t size_ = 0;
};

/// Makes the seal of rows that come in the order of their numbers. Rows that are missing make no
/// piece, or a piece of fewer rows.
class Sealer {
 public:
  Sealer(std::string_view part, std::int64_t first);
  /// Takes up row `number`, whose values are put into what is returned, before any other call.
  RowBytes& row(std::int64_t number);
  Seal finish();

 private:
  void hash_rows();
  void end_piece();

  std::int64_t rows_in_piece_;
  Seal seal_;
  std::int64_t piece_ = -1;  // that is being hashed
  RowBytes rows_;            // of it, not hashed yet: together, since each call costs a row's hash
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
