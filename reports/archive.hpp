#pragma once
// The club's archive: one SQLite file. This class is one connection, used by one thread at a time.

#include <memory>
#include <optional>
#include <span>
#include <stdexcept>
#include <string>
#include <vector>

#include "reports/packed_samples.hpp"
#include "reports/run_record.hpp"

namespace sagbench::reports {

struct Seal;

/// One line for the person: which file, what is wrong, what to do.
class ArchiveError : public std::runtime_error {
 public:
  enum class Kind {
    user,  // wrong path, not an archive, newer version, no such run
    io,    // disk full, read-only, damaged
  };
  ArchiveError(Kind kind, const std::string& message) : std::runtime_error(message), kind_(kind) {}
  Kind kind() const noexcept { return kind_; }

 private:
  Kind kind_;
};

class Archive {
 public:
  enum class Access { read, write };  // write creates the file when it is missing; read never does
  enum class Durability {
    power_loss,     // committed means on the disk (WAL, synchronous = FULL)
    process_crash,  // committed survives kill -9; for virtual runs, which can be repeated
  };

  /// Throws ArchiveError, as every member does.
  Archive(const std::string& path, Access access, Durability durability = Durability::power_loss);
  ~Archive();
  Archive(Archive&&) noexcept;
  Archive& operator=(Archive&&) noexcept;

  /// Returns the run's id: "YYYYMMDD-HHMMSS-xxxx", x = hex of a hash over the header and the number
  /// of runs before it with the same header, so equal inputs give equal ids in a fresh archive.
  std::string begin_run(const RunHeader& header);
  /// A whole run of another archive, under its own id and with the seal that the record states;
  /// where it states none, it is sealed late. Of its photos those whose data are given. Throws
  /// `user` where that id is taken or is none, the run has not ended, or its content is not what
  /// was sealed. All of it is kept, or nothing.
  void restore(const RunRecord& record);
  /// What a record's content would be sealed as in any archive; none is touched. `samples`: those
  /// of the record, wherever they are.
  static std::vector<Seal> seals_of(const RunRecord& record,
                                    std::span<const analysis::Sample> samples);
  /// Samples are numbered on in the order given. One transaction a call: when it returns they are
  /// kept. A value that is not finite is refused.
  void append(const std::string& run_id, std::span<const analysis::Sample> samples);
  /// The same, in a transaction that is short however many there are.
  void append(const std::string& run_id, const PackedSamples& packed);
  /// Beforehand; what is not finite is refused here already.
  PackedSamples pack(std::span<const analysis::Sample> samples) const;
  /// The same for what the radio asked for.
  void append_asked(const std::string& run_id, std::span<const AskedRow> asked);
  void add_event(const std::string& run_id, const Event& event);
  /// Writes or replaces the step with that index; steps are written in order, from 0.
  void put_step(const std::string& run_id, int index, const StepRow& step);
  /// A run that was closed may be closed anew; RunEnd::running opens it again.
  void close_run(const std::string& run_id, const RunClosing& closing);
  /// Writes or replaces the gap with that index; gaps are written in order, from 0.
  void put_gap(const std::string& run_id, int index, const analysis::Gap& gap);

  /// Beside the run, whether it has ended or not: its seal stays. False where it has this photo
  /// already, which then stays as it is.
  bool add_photo(const std::string& run_id, const Photo& photo);
  /// Of a photo that the run has.
  void put_caption(const std::string& run_id, const std::string& sha256,
                   const std::string& caption);
  /// False where the run has this remark already.
  bool add_remark(const std::string& run_id, const Remark& remark);

  /// All of the run goes, in one transaction. That it was deleted stays known, and no run gets its
  /// id but by restore(), which forgets that again.
  void remove(const std::string& run_id, const std::string& utc);

  /// For long work, between its transactions: where another program writes a run into this archive,
  /// waits until that has had its turn. A run stops when it gets none for five seconds.
  void let_runs_write() const;

  /// Groups the calls of `work` into one transaction: all of it is kept, or none. May be nested;
  /// the outermost commits.
  template <class Work>
  void transaction(Work&& work);

  bool has(const std::string& run_id) const;
  /// A unique beginning of an id is enough. Throws `user` when there is none or more than one.
  std::string find_run(const std::string& id_or_prefix) const;
  RunRecord load(const std::string& id_or_prefix) const;
  /// The first run, begun on a bench after this one, of a pack of the same name.
  std::optional<std::string> run_after(const std::string& run_id) const;
  /// As RunRecord::photos and RunRecord::remarks.
  std::vector<Photo> photos(const std::string& run_id) const;
  std::vector<Remark> remarks(const std::string& run_id) const;
  /// The bytes of a photo that the run has. What they were told to be is not checked.
  std::string photo_data(const std::string& run_id, const std::string& sha256) const;
  /// When a run of that id was deleted here (ISO 8601); nothing where none was.
  std::optional<std::string> deleted_utc(const std::string& run_id) const;
  /// Newest first.
  std::vector<RunSummary> runs() const;

 private:
  void begin();
  void commit();
  void rollback() noexcept;
  /// As a run that is new here.
  void put(const RunRecord& record, const PackedSamples& packed);

  struct Connection;
  explicit Archive(std::unique_ptr<Connection> connection);
  std::unique_ptr<Connection> connection_;
};

template <class Work>
void Archive::transaction(Work&& work) {
  begin();
  try {
    work();
    commit();
  } catch (...) {
    rollback();
    throw;
  }
}

}  // namespace sagbench::reports
