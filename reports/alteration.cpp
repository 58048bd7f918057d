#include "reports/alteration.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace sagbench::reports {
namespace {

using Kind = Alteration::Kind;

// In the order of the rows that stand for them.
constexpr std::array kColumns = {"id",
                                 "header hash",
                                 "start time",
                                 "pack name",
                                 "pack file",
                                 "bench file",
                                 "plan file",
                                 "software",
                                 "end code",
                                 "reason",
                                 "note on the load being off"};

std::string_view piece(const Seal& seal, std::size_t number) {
  const std::size_t at = number * kPieceBytes;
  return at < seal.pieces.size() ? std::string_view(seal.pieces).substr(at, kPieceBytes) : "";
}

bool absent(std::string_view piece) {
  return std::ranges::all_of(piece, [](char byte) { return byte == '\0'; });
}

std::optional<Kind> kind_of(std::string_view sealed, std::string_view found) {
  if (sealed == found || (absent(sealed) && absent(found))) return std::nullopt;
  if (absent(found)) return Kind::missing;
  return absent(sealed) ? Kind::added : Kind::differs;
}

std::string subject(const Alteration& alteration) {
  if (alteration.part == "hash") return "its hash";
  if (alteration.part == "seal" && alteration.of == "sample")
    return fmt::format("the seal of the samples from {} on", alteration.first);
  if (alteration.part == "seal" && alteration.of.empty()) return "its seals";
  if (alteration.part == "seal") return fmt::format("the seal of its part {}", alteration.of);
  if (alteration.part == "record") return "its record";
  if (alteration.part == "photo") return fmt::format("photo {}", alteration.of);
  if (alteration.part == "remark") return fmt::format("the remark of {}", alteration.of);
  if (alteration.part == "sample_block")
    return fmt::format("what stands beside the block of the samples from {} on", alteration.first);
  const auto column = static_cast<std::size_t>(alteration.first);
  if (alteration.part == "run")
    return column < kColumns.size() ? fmt::format("its {}", kColumns[column]) : "its head";
  const std::string noun = alteration.part == "asked" ? "asked current" : alteration.part;
  if (alteration.first == alteration.last) return fmt::format("{} {}", noun, alteration.first);
  return fmt::format("{}s {} to {}", noun, alteration.first, alteration.last);
}

bool is_one(const Alteration& alteration) {
  return alteration.part == "run" || alteration.first == alteration.last;
}

std::string verb(const Alteration& alteration) {
  const bool one = is_one(alteration);
  switch (alteration.kind) {
    case Kind::differs:
      return one ? "differs" : "differ";
    case Kind::missing:
      return one ? "is missing" : "are missing";
    case Kind::added:
      return one ? "was added" : "were added";
    case Kind::unreadable:
      break;
  }
  return "cannot be read";
}

}  // namespace

std::vector<Alteration> differences(const Seal& sealed, const Seal& found) {
  std::vector<Alteration> all;
  if (sealed.sha256 == found.sha256 && sealed.count == found.count) return all;
  const std::int64_t rows = rows_in_piece(sealed.part);
  const std::size_t pieces = std::max(sealed.pieces.size(), found.pieces.size()) / kPieceBytes;
  for (std::size_t number = 0; number < pieces; ++number) {
    const auto kind = kind_of(piece(sealed, number), piece(found, number));
    if (!kind) continue;
    const std::int64_t first = sealed.first + static_cast<std::int64_t>(number) * rows;
    const bool goes_on = !all.empty() && all.back().kind == *kind && all.back().last + 1 == first &&
                         sealed.part != "run";
    if (!goes_on) all.push_back({*kind, sealed.part, first, first});
    all.back().last = first + rows - 1;
  }
  const std::int64_t end = sealed.first + std::max(sealed.count, found.count);
  if (!all.empty())
    all.back().last = std::min(all.back().last, std::max(end - 1, all.back().first));
  if (all.empty())
    all.push_back({Kind::differs, sealed.part, sealed.first, std::max(sealed.first, end - 1)});
  return all;
}

std::string_view name_of(Kind kind) noexcept {
  switch (kind) {
    case Kind::differs:
      return "differs";
    case Kind::missing:
      return "missing";
    case Kind::added:
      return "added";
    case Kind::unreadable:
      break;
  }
  return "unreadable";
}

std::string words_on(const Alteration& alteration) {
  std::string text = subject(alteration);
  if (alteration.to_s)
    text +=
        fmt::format(" ({:.1f} s to {:.1f} s)", alteration.from_s.value_or(0.0), *alteration.to_s);
  return text + " " + verb(alteration);
}

}  // namespace sagbench::reports
