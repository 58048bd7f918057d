#include "reports/archive_samples.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>

#include "reports/archive_schema.hpp"
#include "reports/archive_seals.hpp"
#include "reports/cell_text.hpp"
#include "reports/sample_block.hpp"
#include "reports/sha256.hpp"

namespace sagbench::reports {
namespace {

using analysis::Sample;
using Samples = std::vector<Sample>;

constexpr auto kFull = static_cast<std::int64_t>(kSamplesInBlock);

bool finite(const std::optional<double>& value) {
  return !value || std::isfinite(*value);
}

bool storable(const Sample& sample) {
  if (sample.cell_v.size() > kMostTaps) return false;
  for (const double volts : sample.cell_v) {
    if (!std::isfinite(volts)) return false;
  }
  return std::isfinite(sample.time_s) && std::isfinite(sample.round_trip_s) &&
         std::isfinite(sample.voltage_v) && std::isfinite(sample.current_a) &&
         std::isfinite(sample.commanded_a) && finite(sample.commanded_since_s) &&
         finite(sample.load_voltage_v) && finite(sample.temperature_c) &&
         finite(sample.voltage_age_s);
}

void insert_row(Query& insert, std::int64_t run, std::int64_t seq, const Sample& sample,
                std::string& cells) {
  insert.bind(run).bind(seq).bind(sample.time_s).bind(sample.round_trip_s);
  insert.bind(sample.voltage_v).bind(sample.current_a).bind(sample.commanded_a);
  insert.bind(sample.commanded_since_s).bind(sample.load_voltage_v).bind(sample.temperature_c);
  if (sample.cell_v.empty()) {
    insert.bind_null();
  } else {
    write_cells(sample.cell_v, cells);
    insert.bind(cells);
  }
  insert.bind(sample.step).bind(static_cast<int>(sample.phase));
  insert.bind(sample.voltage_age_s).bind(sample.missed_ticks).run();
}

analysis::Phase phase_from(const Database& database, std::int64_t number) {
  if (number < 0 || number > static_cast<int>(analysis::Phase::trip_search)) {
    database.fail_damaged(fmt::format("unknown phase {}", number));
  }
  return static_cast<analysis::Phase>(number);
}

Sample sample_from(const Database& database, const Query& row) {
  Sample sample;
  sample.time_s = row.real(0);
  sample.round_trip_s = row.real(1);
  sample.voltage_v = row.real(2);
  sample.current_a = row.real(3);
  sample.commanded_a = row.real(4);
  sample.commanded_since_s = row.optional_real(5);
  sample.load_voltage_v = row.optional_real(6);
  sample.temperature_c = row.optional_real(7);
  if (!row.is_null(8)) {
    auto cells = read_cells(row.text_view(8));
    if (!cells) database.fail_damaged(fmt::format("cell voltages \"{}\"", row.text(8)));
    sample.cell_v = std::move(*cells);
  }
  sample.step = static_cast<std::int32_t>(row.integer(9));
  sample.phase = phase_from(database, row.integer(10));
  sample.voltage_age_s = row.optional_real(11);
  sample.missed_ticks = static_cast<std::int32_t>(row.integer(12));
  return sample;
}

/// Those numbered from `numbers.first_row` to before `numbers.next`.
void load_rows(const Database& database, std::int64_t run, const SampleNumbers& numbers,
               Samples& samples) {
  const bool ticks = database.integer("PRAGMA user_version") >= kTicksSinceVersion;
  Query query = database.query(
      ticks ? "SELECT time_s, round_trip_s, voltage_V, current_A, commanded_A, commanded_since_s,"
              " load_voltage_V, temperature_C, cell_V, step, phase, voltage_age_s, missed_ticks"
              " FROM sample WHERE run = ? AND seq >= ? AND seq < ? ORDER BY seq"
            : "SELECT time_s, round_trip_s, voltage_V, current_A, commanded_A, commanded_since_s,"
              " load_voltage_V, temperature_C, cell_V, step, phase, NULL, 0"
              " FROM sample WHERE run = ? AND seq >= ? AND seq < ? ORDER BY seq");
  query.bind(run).bind(numbers.first_row).bind(numbers.next);
  while (query.step()) samples.push_back(sample_from(database, query));
}

[[noreturn]] void fail_at(const Database& database, std::int64_t first, std::int64_t end) {
  database.fail_damaged(fmt::format("samples {} to {}", first, end - 1));
}

/// What a block may be said to hold.
bool is_count(std::int64_t count) {
  return count >= 1 && count <= kFull;
}

void load_blocks(const Database& database, std::int64_t run, Samples& samples) {
  Query blocks = database.query("SELECT count(*) FROM sample_block WHERE run = ?");
  blocks.bind(run).step();
  samples.reserve(static_cast<std::size_t>(blocks.integer(0)) * kSamplesInBlock);
  Query query =
      database.query("SELECT seq, count, data FROM sample_block WHERE run = ? ORDER BY seq");
  query.bind(run);
  while (query.step()) {
    const auto next = static_cast<std::int64_t>(samples.size());
    const std::int64_t first = query.integer(0), count = query.integer(1);
    if (first > next) fail_at(database, next, first);
    const bool fits = first == next && is_count(count);
    if (fits) samples.resize(samples.size() + static_cast<std::size_t>(count));
    if (!fits ||
        !decode_block(query.blob_view(2), std::span(samples).last(static_cast<std::size_t>(count))))
      fail_at(database, first, first + std::clamp(count, std::int64_t{1}, kFull));
  }
}

void require_storable(const std::string& path, std::span<const Sample> samples) {
  for (const Sample& sample : samples) {
    if (storable(sample)) continue;
    throw ArchiveError(ArchiveError::Kind::io,
                       fmt::format("{}: refuses the sample at {} s: it holds a value that is not "
                                   "a finite number, or more than {} cells",
                                   path, sample.time_s, kMostTaps));
  }
}

/// Only what comes back from the block as it went in may leave the rows.
SampleBlock block_of(const std::string& path, std::int64_t first, std::span<const Sample> samples) {
  SampleBlock block{seal_of_samples(first, samples), samples.back().time_s, encode_block(samples)};
  Samples back(samples.size());
  if (!decode_block(block.data, back) || seal_of_samples(first, back) != block.seal)
    throw ArchiveError(ArchiveError::Kind::io,
                       fmt::format("{}: samples {} to {} do not come back from a block as they are",
                                   path, first, first + block.seal.count - 1));
  return block;
}

std::string block_hash(const SampleRange& block, std::string_view data) {
  RowBytes row;
  row.whole(block.first).whole(block.count).real(block.last_s).blob(data);
  return hash_of(row.bytes());
}

void insert_block(const Database& database, std::int64_t run, const SampleBlock& block) {
  const SampleRange place{block.seal.first, block.seal.count, block.last_s};
  const std::string sha256 = block_hash(place, block.data);
  Query insert = database.query(
      "INSERT INTO sample_block (run, seq, count, last_s, data, sha256)"
      " VALUES (?, ?, ?, ?, ?, ?)");
  insert.bind(run).bind(place.first).bind(place.count).bind(place.last_s);
  insert.bind_blob(block.data).bind(sha256).run();
  put_seal(database, run, block.seal);
}

void pack(const Database& database, std::int64_t run, const SampleNumbers& numbers) {
  Samples samples;
  load_rows(database, run, numbers, samples);
  if (static_cast<std::int64_t>(samples.size()) != numbers.next - numbers.first_row)
    database.fail_damaged(fmt::format("only {} are left of the samples {} to {}", samples.size(),
                                      numbers.first_row, numbers.next - 1));
  insert_block(database, run, block_of(database.path(), numbers.first_row, samples));
  database.query("DELETE FROM sample WHERE run = ? AND seq < ?").bind(run).bind(numbers.next).run();
}

void append_rows(const Database& database, std::int64_t run, std::int64_t first,
                 std::span<const Sample> samples) {
  std::string cells;  // outlives the query, which refers to it
  Query insert = database.query(
      "INSERT INTO sample (run, seq, time_s, round_trip_s, voltage_V, current_A, commanded_A,"
      " commanded_since_s, load_voltage_V, temperature_C, cell_V, step, phase,"
      " voltage_age_s, missed_ticks)"
      " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
  for (const Sample& sample : samples) insert_row(insert, run, first++, sample, cells);
}

/// The last block is not full: its samples become rows again, so that only the last one ever is
/// not.
void unpack_last(const Database& database, std::int64_t run, SampleNumbers& numbers) {
  const std::int64_t first = numbers.first_row / kFull * kFull;
  Samples samples;
  load_block(database, run, {first, numbers.first_row - first}, samples);
  if (!drop_seal(database, run, seal_of_samples(first, samples)))
    fail_at(database, first, numbers.first_row);
  database.query("DELETE FROM sample_block WHERE run = ? AND seq = ?").bind(run).bind(first).run();
  append_rows(database, run, first, samples);
  numbers.first_row = first;
}

}  // namespace

SampleNumbers sample_numbers(const Database& database, std::int64_t run) {
  SampleNumbers numbers;
  if (database.integer("PRAGMA user_version") >= kBlocksSinceVersion) {
    Query blocks =
        database.query("SELECT coalesce(max(seq + count), 0) FROM sample_block WHERE run = ?");
    blocks.bind(run).step();
    numbers.first_row = blocks.integer(0);
  }
  Query rows = database.query("SELECT coalesce(max(seq) + 1, 0) FROM sample WHERE run = ?");
  rows.bind(run).step();
  numbers.next = std::max(rows.integer(0), numbers.first_row);
  return numbers;
}

std::vector<SampleBlock> full_blocks(const std::string& path, std::span<const Sample> samples) {
  require_storable(path, samples);
  std::vector<SampleBlock> blocks;
  for (std::size_t at = 0; samples.size() - at >= kSamplesInBlock; at += kSamplesInBlock)
    blocks.push_back(
        block_of(path, static_cast<std::int64_t>(at), samples.subspan(at, kSamplesInBlock)));
  return blocks;
}

void append_samples(const Database& database, std::int64_t run, const PackedSamples& packed,
                    SampleNumbers& numbers) {
  std::span<const Sample> samples = packed.samples;
  const std::vector<SampleBlock>& blocks = packed.blocks;
  require_storable(database.path(), samples);
  if (numbers.first_row % kFull != 0) unpack_last(database, run, numbers);
  // Whole blocks need not be rows first: all of it is kept or none.
  for (std::size_t i = 0; numbers.first_row == numbers.next && samples.size() >= kSamplesInBlock;
       ++i) {
    const bool is_ready = i < blocks.size() && blocks[i].seal.first == numbers.next;
    insert_block(database, run,
                 is_ready
                     ? blocks[i]
                     : block_of(database.path(), numbers.next, samples.first(kSamplesInBlock)));
    samples = samples.subspan(kSamplesInBlock);
    numbers.first_row = numbers.next += kFull;
  }
  append_rows(database, run, numbers.next, samples);
  numbers.next += static_cast<std::int64_t>(samples.size());
}

bool pack_next(const Database& database, std::int64_t run, bool all) {
  const SampleNumbers numbers = sample_numbers(database, run);
  const std::int64_t left = numbers.next - numbers.first_row;
  if (left < (all ? 1 : kFull)) return false;
  pack(database, run, {numbers.first_row, numbers.first_row + std::min(left, kFull)});
  return true;
}

void pack_rows(const Database& database, std::int64_t run, bool all) {
  while (pack_next(database, run, all)) {
  }
}

std::vector<SampleRange> blocks_of(const Database& database, std::int64_t run) {
  Query query =
      database.query("SELECT seq, count, last_s FROM sample_block WHERE run = ? ORDER BY seq");
  query.bind(run);
  std::vector<SampleRange> blocks;
  while (query.step()) blocks.push_back({query.integer(0), query.integer(1), query.real(2)});
  return blocks;
}

void load_block(const Database& database, std::int64_t run, const SampleRange& block,
                Samples& samples) {
  Query query =
      database.query("SELECT data FROM sample_block WHERE run = ? AND seq = ? AND count = ?");
  query.bind(run).bind(block.first).bind(block.count);
  const bool there = is_count(block.count) && query.step();
  if (there) samples.resize(static_cast<std::size_t>(block.count));
  if (!there || !decode_block(query.blob_view(0), samples))
    fail_at(database, block.first, block.first + std::clamp(block.count, std::int64_t{1}, kFull));
}

std::optional<bool> is_as_packed(const Database& database, std::int64_t run,
                                 const SampleRange& block) {
  if (database.integer("PRAGMA user_version") < kBlockHashSinceVersion) return std::nullopt;
  Query query = database.query(
      "SELECT data, sha256 FROM sample_block WHERE run = ? AND seq = ? AND count = ?");
  query.bind(run).bind(block.first).bind(block.count);
  if (!query.step() || query.is_null(1)) return std::nullopt;
  return block_hash(block, query.blob_view(0)) == query.text_view(1);
}

Samples load_samples_from(const Database& database, std::int64_t run, std::int64_t from) {
  const SampleNumbers numbers = sample_numbers(database, run);
  Samples samples, all;
  if (from < numbers.first_row) {
    for (const SampleRange& block : blocks_of(database, run)) {
      if (block.first + block.count <= from) continue;
      load_block(database, run, block, all);
      samples.insert(samples.end(), all.begin() + std::max<std::int64_t>(0, from - block.first),
                     all.end());
    }
  }
  load_rows(database, run, {std::max(from, numbers.first_row), numbers.next}, samples);
  return samples;
}

Samples load_samples(const Database& database, std::int64_t run) {
  const SampleNumbers numbers = sample_numbers(database, run);
  Samples samples;
  if (numbers.first_row > 0) load_blocks(database, run, samples);
  load_rows(database, run, numbers, samples);
  // Numbering has no gaps, so the last number tells how many there must be.
  if (static_cast<std::int64_t>(samples.size()) != numbers.next)
    database.fail_damaged(
        fmt::format("only {} of {} samples are there", samples.size(), numbers.next));
  return samples;
}

}  // namespace sagbench::reports
