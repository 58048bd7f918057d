#include "reports/archive_merge.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <filesystem>
#include <future>
#include <optional>
#include <span>
#include <utility>

#include "reports/archive.hpp"
#include "reports/archive_check.hpp"
#include "reports/archive_open.hpp"
#include "reports/archive_schema.hpp"
#include "reports/archive_seals.hpp"
#include "reports/row_copy.hpp"
#include "reports/run_id.hpp"
#include "reports/sha256.hpp"

namespace sagbench::reports {
namespace {

using Kind = ArchiveError::Kind;

constexpr std::size_t kCheckedTogether = 64;
/// Few, so that another program's run never waits long; enough that waiting for the disk after each
/// of them does not count.
constexpr std::int64_t kBytesInTransaction = std::int64_t{16} << 20U;

struct SourceRun {
  ListedRun listed;
  std::string sha256;  // empty: not sealed
};

struct Fate {
  std::string id;
  Merged merged;
  std::string why{};
};

/// All that can be read of the list; `damage`: what ended it.
std::vector<SourceRun> runs_of(const Database& database, std::optional<ArchiveError>& damage) {
  const bool sealed = database.integer("PRAGMA user_version") >= kSealsSinceVersion;
  std::vector<SourceRun> runs;
  try {
    Query query = database.query(sealed ? "SELECT run, id, end_code, sha256 FROM run ORDER BY run"
                                        : "SELECT run, id, end_code, NULL FROM run ORDER BY run");
    while (query.step()) {
      const bool ended = query.integer(2) != static_cast<int>(RunEnd::running);
      runs.push_back({{query.integer(0), query.text(1), ended}, query.text(3)});
    }
  } catch (const ArchiveError& error) {
    damage = error;
  }
  return runs;
}

/// Of the run itself; empty where that is whole. What stands beside it is looked at as it is taken.
std::string told(const std::vector<Alteration>& alterations) {
  std::vector<std::string> words;
  for (const Alteration& alteration : alterations)
    if (alteration.part != "photo" && alteration.part != "remark")
      words.push_back(words_on(alteration));
  if (words.empty()) return {};
  return fmt::format("it is not what was sealed: {}", fmt::join(words, "; "));
}

/// In short transactions, as many as it takes.
class Writing {
 public:
  explicit Writing(const Database& database) : database_(database) {}
  ~Writing() {
    try {
      if (database_.in_transaction()) database_.execute("ROLLBACK");
    } catch (const ArchiveError&) {
      // The failure that led here says more than this one.
    }
  }
  Writing(const Writing&) = delete;
  Writing& operator=(const Writing&) = delete;

  bool begun() const { return database_.in_transaction(); }
  void begin() {
    if (!database_.in_transaction()) database_.begin(Database::Patience::usual);
  }
  /// True when what was written is kept now.
  bool wrote(std::int64_t bytes) {
    bytes_ += bytes;
    return bytes_ >= kBytesInTransaction && end();
  }
  bool end() {
    if (database_.in_transaction()) database_.execute("COMMIT");
    bytes_ = 0;
    return true;
  }

 private:
  const Database& database_;
  std::int64_t bytes_ = 0;
};

/// The same, ready to take rows from the archive at `from`.
const Database& with_source(const Database& to, const std::string& from) {
  attach_source(to, from);
  // Asking for each row whether its run is there, which is written just before, costs a fifth.
  to.execute("PRAGMA foreign_keys = OFF");
  return to;
}

class Merge {
 public:
  Merge(const std::string& path, const std::string& from, bool again,
        const std::function<void(const MergedRun&)>& tell)
      : source_path_(from),
        again_(again),
        source_(from, Archive::Access::read),
        from_(open_to_read(from)),
        target_(path, Archive::Access::write),
        to_(open_to_write(path, Archive::Durability::power_loss)),
        copy_(with_source(to_, from)),
        tell_(tell) {}

  void go();

 private:
  using Runs = std::span<const SourceRun>;

  void tell(Fate fate);
  std::optional<std::int64_t> mine(const std::string& id) const;
  bool is_same(const SourceRun& run, std::int64_t mine) const;
  Fate against(const SourceRun& run, std::int64_t mine);
  std::string take_beside(const std::string& id);
  std::string copy_beside(const std::string& id);
  Fate take_by_record(const SourceRun& run);
  std::optional<Fate> settle(const SourceRun& run);
  std::future<std::vector<RunCheck>> start_checks(Runs runs) const;
  Fate take_rows(const SourceRun& run, const RunCheck& check, Writing& writing,
                 std::int64_t& bytes);
  void take_all(Runs runs, const std::vector<RunCheck>& checks);

  std::string source_path_;
  bool again_;
  Archive source_;
  Database from_;
  Archive target_;
  Database to_;
  RunCopy copy_;
  const std::function<void(const MergedRun&)>& tell_;
  std::size_t told_ = 0, of_ = 0;
};

void Merge::tell(Fate fate) {
  tell_({std::move(fate.id), fate.merged, std::move(fate.why), ++told_, of_});
}

std::optional<std::int64_t> Merge::mine(const std::string& id) const {
  Query query = to_.query("SELECT run FROM run WHERE id = ?");
  query.bind(id);
  if (!query.step()) return std::nullopt;
  return query.integer(0);
}

/// Where both are sealed, their seals tell; their hashes alone would not, where one was sealed
/// late.
bool Merge::is_same(const SourceRun& run, std::int64_t mine) const {
  const std::string hash = run_seal(to_, mine).sha256;
  if (!hash.empty() && hash == run.sha256) return true;
  if (!hash.empty() && !run.sha256.empty())
    return load_seals(to_, mine) == load_seals(from_, run.listed.run);
  const RunRecord one = target_.load(run.listed.id), other = source_.load(run.listed.id);
  return Archive::seals_of(one, one.samples) == Archive::seals_of(other, other.samples);
}

Fate Merge::against(const SourceRun& run, std::int64_t mine) {
  if (!is_same(run, mine)) return {run.listed.id, Merged::conflict};
  return {run.listed.id, Merged::known, take_beside(run.listed.id)};
}

/// See copy_beside(); another program may delete the run meanwhile, and what is beside it goes
/// with it.
std::string Merge::take_beside(const std::string& id) {
  try {
    return copy_beside(id);
  } catch (const ArchiveError&) {
    if (source_.has(id) && target_.has(id)) throw;
    return {};
  }
}

/// What was put beside a run that is here, there and not here. A photo that is not what was added
/// stays there; what is to be told of that.
std::string Merge::copy_beside(const std::string& id) {
  std::string told;
  const std::vector<Photo> photos = target_.photos(id);
  for (Photo& photo : source_.photos(id)) {
    if (std::ranges::find(photos, photo.sha256, &Photo::sha256) != photos.end()) continue;
    photo.data = source_.photo_data(id, photo.sha256);
    if (hash_of(photo.data) == photo.sha256)
      target_.add_photo(id, photo);
    else
      told = fmt::format("photo {} differs from what was added and is left out", photo.name);
  }
  const std::vector<Remark> remarks = target_.remarks(id);
  for (const Remark& remark : source_.remarks(id))
    if (std::ranges::find(remarks, remark) == remarks.end()) target_.add_remark(id, remark);
  return told;
}

Fate Merge::take_by_record(const SourceRun& run) {
  RunRecord record;
  try {
    record = source_.load(run.listed.id);
  } catch (const ArchiveError& error) {
    if (!source_.has(run.listed.id)) return {run.listed.id, Merged::gone};
    return {run.listed.id, Merged::altered, fmt::format("it cannot be read ({})", error.what())};
  }
  target_.let_runs_write();
  try {
    target_.restore(record);
  } catch (const ArchiveError&) {
    const auto there = mine(run.listed.id);  // another program may have been faster
    if (!there) throw;
    return against(run, *there);
  }
  return {run.listed.id, Merged::late, take_beside(run.listed.id)};
}

/// Nothing where its seals must be looked at first.
std::optional<Fate> Merge::settle(const SourceRun& run) {
  if (!run.listed.ended) return Fate{run.listed.id, Merged::unended};
  if (const auto there = mine(run.listed.id)) return against(run, *there);
  constexpr std::size_t kDate = 10;
  if (const auto utc = target_.deleted_utc(run.listed.id); utc && !again_)
    return Fate{run.listed.id, Merged::deleted, utc->substr(0, kDate)};
  if (!is_run_id(run.listed.id))
    return Fate{run.listed.id, Merged::altered, "its id is none that sagbench gives"};
  if (run.sha256.empty()) return take_by_record(run);
  return std::nullopt;
}

std::future<std::vector<RunCheck>> Merge::start_checks(Runs runs) const {
  std::vector<ListedRun> listed;
  for (const SourceRun& run : runs) listed.push_back(run.listed);
  return std::async(std::launch::async, check_runs, source_path_, std::move(listed), Depth::blocks);
}

Fate Merge::take_rows(const SourceRun& run, const RunCheck& check, Writing& writing,
                      std::int64_t& bytes) {
  if (!source_.has(run.listed.id)) return {run.listed.id, Merged::gone};
  if (std::string why = told(check.alterations); !why.empty())
    return {run.listed.id, Merged::altered, std::move(why)};
  if (!writing.begun()) target_.let_runs_write();
  writing.begin();
  if (const auto there = mine(run.listed.id)) {  // another program has just put it here
    const bool same = run_seal(to_, *there).sha256 == check.sha256;
    return {run.listed.id, same ? Merged::known : Merged::conflict};
  }
  // As all of this transaction reads it.
  Query seal = to_.query("SELECT sha256 FROM source.run WHERE run = ?");
  seal.bind(run.listed.run);
  if (!seal.step() || seal.text_view(0) != check.sha256 || check.sha256.empty())
    return {run.listed.id, Merged::altered, "another program is changing it"};
  bytes = copy_.carry(run.listed.run);
  to_.query("DELETE FROM deleted WHERE id = ?").bind(run.listed.id).run();
  return {run.listed.id, Merged::taken};
}

void Merge::take_all(Runs runs, const std::vector<RunCheck>& checks) {
  Writing writing(to_);
  std::vector<Fate> fates;
  const auto tell_all = [&] {
    for (Fate& fate : std::exchange(fates, {})) {
      if (fate.merged == Merged::taken) fate.why = take_beside(fate.id);
      tell(std::move(fate));
    }
  };
  for (std::size_t i = 0; i < runs.size(); ++i) {
    std::int64_t bytes = 0;
    fates.push_back(take_rows(runs[i], checks.at(i), writing, bytes));
    if (writing.wrote(bytes)) tell_all();  // what is told is kept
  }
  writing.end();
  tell_all();
}

void Merge::go() {
  std::optional<ArchiveError> damage;
  const std::vector<SourceRun> all = runs_of(from_, damage);
  of_ = all.size();
  std::vector<SourceRun> left;
  for (const SourceRun& run : all) {
    if (auto fate = settle(run))
      tell(std::move(*fate));
    else
      left.push_back(run);
  }
  const auto part = [&](std::size_t at) {
    return Runs(left)
        .subspan(std::min(at, left.size()))
        .first(std::min(kCheckedTogether, left.size() - std::min(at, left.size())));
  };
  auto checks = start_checks(part(0));
  for (std::size_t at = 0; at < left.size(); at += kCheckedTogether) {
    const std::vector<RunCheck> checked = checks.get();
    checks = start_checks(part(at + kCheckedTogether));  // while these are written
    take_all(part(at), checked);
  }
  if (damage) throw ArchiveError(*damage);
}

void refuse_itself(const std::string& path, const std::string& from) {
  std::error_code unknown;  // then opening them says what is wrong
  if (std::filesystem::equivalent(path, from, unknown) && !unknown)
    throw ArchiveError(Kind::user,
                       fmt::format("{}: is the archive itself ({}); name another one", from, path));
}

}  // namespace

void merge_archives(const std::string& path, const std::string& from, bool again,
                    const std::function<void(const MergedRun&)>& tell) {
  refuse_itself(path, from);
  Merge(path, from, again, tell).go();
}

}  // namespace sagbench::reports
