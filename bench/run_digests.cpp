#include "bench/run_digests.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <chrono>

#include "bench/json_reader.hpp"
#include "bench/loaded_run.hpp"
#include "bench/pack_file.hpp"
#include "bench/source_hash.hpp"
#include "bench/text_line.hpp"
#include "bench/version.hpp"
#include "bench/wall_time.hpp"
#include "reports/digest_store.hpp"
#include "reports/number_text.hpp"

namespace sagbench::bench {
namespace {

using Clock = std::chrono::steady_clock;

analysis::Pack pack_of(const std::string& run_id, const std::string& pack_json) {
  const std::string origin = "run " + run_id;
  return pack_from_json(parse_json(pack_json, origin), origin);
}

/// One line on a terminal, at most one a second, with the time left.
class Progress {
 public:
  explicit Progress(std::size_t count) : count_(count), shown_(isatty(STDERR_FILENO) == 1) {}

  /// `done` of them are; the next one takes a computation.
  void tell(std::size_t done) {
    const auto now = Clock::now();
    if (!shown_ || now - last_ < std::chrono::seconds(1)) return;
    last_ = now;
    const std::chrono::duration<double> took = now - begin_;
    const std::string left =
        done > 0 ? ", " +
                       reports::duration_text(took.count() / static_cast<double>(done) *
                                              static_cast<double>(count_ - done)) +
                       " left"
                 : "";
    fmt::print(stderr, "analysing run {} of {}{} ...\n", done + 1, count_, left);
  }

 private:
  std::size_t count_;
  bool shown_;
  Clock::time_point begin_ = Clock::now(), last_ = begin_;
};

}  // namespace

struct RunDigests::Parts {
  const reports::Archive& archive;
  reports::DigestStore store;

  std::optional<reports::RunDigest> kept(const std::string& run_id,
                                         reports::DigestStore::Found& found) const {
    found = store.find(run_id);
    if (found.digest) found.digest->pack = pack_of(run_id, found.pack_json);
    return std::move(found.digest);
  }

  reports::RunDigest computed(const std::string& run_id, const std::string& sha256) {
    reports::RunDigest digest = reports::digest_of(load_measured_run(archive, run_id));
    store.keep(digest, sha256, utc_now());
    return digest;
  }
};

RunDigests::RunDigests(const std::string& path, const reports::Archive& archive)
    : parts_(new Parts{archive, {path, {source_hash(), kSoftware}}}) {}
RunDigests::~RunDigests() = default;

reports::RunDigest RunDigests::of(const std::string& run_id) {
  return of_all({run_id}).front();
}

std::vector<reports::RunDigest> RunDigests::of_all(const std::vector<std::string>& run_ids) {
  std::vector<reports::RunDigest> digests;
  Progress progress(run_ids.size());
  for (const std::string& run_id : run_ids) {
    reports::DigestStore::Found found;
    auto digest = parts_->kept(run_id, found);
    if (!digest) {
      progress.tell(digests.size());
      digest = parts_->computed(run_id, found.sha256);
    }
    digests.push_back(*std::move(digest));
  }
  return digests;
}

}  // namespace sagbench::bench
