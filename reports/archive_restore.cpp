// Whole runs that come from elsewhere.
#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "reports/archive.hpp"
#include "reports/archive_connection.hpp"
#include "reports/archive_schema.hpp"
#include "reports/archive_seals.hpp"
#include "reports/run_id.hpp"
#include "reports/sample_block.hpp"

namespace sagbench::reports {
namespace {

using Kind = ArchiveError::Kind;

Database in_memory() {
  Database database(":memory:", "the record", SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
  create_schema(database);
  return database;
}

}  // namespace

void Archive::put(const RunRecord& record, const PackedSamples& packed) {
  connection_->put_header(record.header, record.id);
  for (std::size_t i = 0; i < record.steps.size(); ++i)
    put_step(record.id, static_cast<int>(i), record.steps[i]);
  append(record.id, packed);
  append_asked(record.id, record.asked);
  for (const Event& event : record.events) add_event(record.id, event);
  for (std::size_t i = 0; i < record.gaps.size(); ++i)
    put_gap(record.id, static_cast<int>(i), record.gaps[i]);
  close_run(record.id, record.closing);
}

void Archive::restore(const RunRecord& record) {
  const Database& database = connection_->database;
  if (!is_run_id(record.id))
    throw ArchiveError(Kind::user, fmt::format("{}: \"{}\" is no run's id, as "
                                               "\"20260301-140233-5f0c\" is",
                                               database.path(), record.id));
  if (record.closing.end == RunEnd::running)
    throw ArchiveError(Kind::user, fmt::format("{}: run {} has not ended yet; it can be taken in "
                                               "once it has",
                                               database.path(), record.id));
  const PackedSamples packed = pack(record.samples);
  transaction([&] {
    if (has(record.id))
      throw ArchiveError(Kind::user,
                         fmt::format("{}: there is a run {} already", database.path(), record.id));
    put(record, packed);
    for (const Photo& photo : record.photos)
      if (!photo.data.empty()) add_photo(record.id, photo);
    for (const Remark& remark : record.remarks) add_remark(record.id, remark);
    connection_->seal_as_stated(record);
    database.query("DELETE FROM deleted WHERE id = ?").bind(record.id).run();
  });
}

std::vector<Seal> Archive::seals_of(const RunRecord& record,
                                    std::span<const analysis::Sample> samples) {
  Archive archive(std::make_unique<Connection>(Connection{in_memory()}));
  archive.transaction([&] { archive.put(record, {}); });
  const std::int64_t run = archive.connection_->database.integer("SELECT run FROM run");
  std::vector<Seal> seals;
  for (const std::string_view table : sealed_tables())
    seals.push_back(seal_of_table(archive.connection_->database, run, table));
  for (std::size_t first = 0; first < samples.size(); first += kSamplesInBlock)
    seals.push_back(seal_of_samples(
        static_cast<std::int64_t>(first),
        samples.subspan(first).first(std::min(kSamplesInBlock, samples.size() - first))));
  return seals;
}

}  // namespace sagbench::reports
