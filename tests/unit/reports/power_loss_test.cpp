// Guarantee 5 of the design: what was acknowledged is in the archive after the power failed. A
// layer between SQLite and its files remembers what each held when it was last synchronised; the
// power fails, and that is all that is left of them.
#include <sqlite3.h>

#include <fstream>
#include <map>
#include <vector>

#include "archive_fixture.hpp"
#include "catch.hpp"

namespace sagbench::reports {
namespace {

using testing::example_header;
using testing::example_samples;
using testing::outcome_of;
using testing::TemporaryFolder;

/// What is safe on the disk, by path.
std::map<std::string, std::string>& on_disk() {
  static std::map<std::string, std::string> files;
  return files;
}

sqlite3_vfs* system_files() {
  static sqlite3_vfs* const found = sqlite3_vfs_find(nullptr);
  return found;
}

/// SQLite allocates it with room for the system's own file behind it.
struct File {
  sqlite3_file base;
  const char* path;  // SQLite keeps it as long as the file is open; null for what has no name
};

sqlite3_file* real(sqlite3_file* file) {
  return reinterpret_cast<sqlite3_file*>(reinterpret_cast<File*>(file) + 1);
}

const sqlite3_io_methods* methods(sqlite3_file* file) {
  return real(file)->pMethods;
}

int sync_and_remember(sqlite3_file* file, int flags) {
  const int code = methods(file)->xSync(real(file), flags);
  const char* const path = reinterpret_cast<File*>(file)->path;
  if (code != SQLITE_OK || path == nullptr) return code;
  std::ifstream content(path, std::ios::binary);
  on_disk()[path] = std::string(std::istreambuf_iterator<char>(content), {});
  return code;
}

constexpr int kPlain = 1;         // neither shared memory nor memory-mapped files
constexpr int kSharesMemory = 2;  // no memory-mapped files

sqlite3_io_methods passing_methods(int version) {
  sqlite3_io_methods pass = {};
  pass.iVersion = version;
  pass.xClose = [](sqlite3_file* f) { return methods(f)->xClose(real(f)); };
  pass.xRead = [](sqlite3_file* f, void* to, int size, sqlite3_int64 at) {
    return methods(f)->xRead(real(f), to, size, at);
  };
  pass.xWrite = [](sqlite3_file* f, const void* from, int size, sqlite3_int64 at) {
    return methods(f)->xWrite(real(f), from, size, at);
  };
  pass.xTruncate = [](sqlite3_file* f, sqlite3_int64 size) {
    return methods(f)->xTruncate(real(f), size);
  };
  pass.xSync = sync_and_remember;
  pass.xFileSize = [](sqlite3_file* f, sqlite3_int64* size) {
    return methods(f)->xFileSize(real(f), size);
  };
  pass.xLock = [](sqlite3_file* f, int lock) { return methods(f)->xLock(real(f), lock); };
  pass.xUnlock = [](sqlite3_file* f, int lock) { return methods(f)->xUnlock(real(f), lock); };
  pass.xCheckReservedLock = [](sqlite3_file* f, int* out) {
    return methods(f)->xCheckReservedLock(real(f), out);
  };
  pass.xFileControl = [](sqlite3_file* f, int what, void* with) {
    return methods(f)->xFileControl(real(f), what, with);
  };
  pass.xSectorSize = [](sqlite3_file* f) { return methods(f)->xSectorSize(real(f)); };
  // Nothing is safe by itself: a write may have been half done.
  pass.xDeviceCharacteristics = [](sqlite3_file*) { return 0; };
  pass.xShmMap = [](sqlite3_file* f, int page, int size, int extend, void volatile** out) {
    return methods(f)->xShmMap(real(f), page, size, extend, out);
  };
  pass.xShmLock = [](sqlite3_file* f, int at, int count, int flags) {
    return methods(f)->xShmLock(real(f), at, count, flags);
  };
  pass.xShmBarrier = [](sqlite3_file* f) { methods(f)->xShmBarrier(real(f)); };
  pass.xShmUnmap = [](sqlite3_file* f, int remove) {
    return methods(f)->xShmUnmap(real(f), remove);
  };
  return pass;
}

template <int version>
int open_remembering(sqlite3_vfs*, const char* name, sqlite3_file* file, int flags, int* out) {
  static const sqlite3_io_methods pass = passing_methods(version);
  reinterpret_cast<File*>(file)->path = name;
  file->pMethods = nullptr;
  const int code = system_files()->xOpen(system_files(), name, real(file), flags, out);
  if (code == SQLITE_OK) file->pMethods = &pass;
  return code;
}

/// While it lives, new connections of this process go through the layer.
class RememberingDisk {
 public:
  explicit RememberingDisk(bool shares_memory = true) : layer_(*system_files()) {
    layer_.zName = "remembering";
    layer_.szOsFile = static_cast<int>(sizeof(File)) + system_files()->szOsFile;
    layer_.xOpen = shares_memory ? open_remembering<kSharesMemory> : open_remembering<kPlain>;
    on_disk().clear();
    sqlite3_vfs_register(&layer_, 1);
  }
  ~RememberingDisk() {
    sqlite3_vfs_unregister(&layer_);
    sqlite3_vfs_register(system_files(), 1);
  }
  RememberingDisk(const RememberingDisk&) = delete;
  RememberingDisk& operator=(const RememberingDisk&) = delete;

 private:
  sqlite3_vfs layer_;
};

/// The power fails: what the disk holds of the archive, in a folder of its own.
std::string after_power_loss(const std::string& path, const TemporaryFolder& after) {
  std::string left = after.file("club.db");
  for (const char* suffix : {"", "-wal"}) {
    const auto file = on_disk().find(path + suffix);
    if (file != on_disk().end()) std::ofstream(left + suffix, std::ios::binary) << file->second;
  }
  return left;
}

}  // namespace

TEST_CASE("guarantee 5: every sample acknowledged before the power failed is in the archive") {
  // From the first batch to beyond the copying of the log into the file.
  const int batches = GENERATE(0, 1, 2, 17, 700);
  constexpr int kBatch = 20;
  const TemporaryFolder folder, after;
  const std::string path = folder.file("club.db");
  const RememberingDisk disk;
  Archive archive(path, Archive::Access::write, Archive::Durability::power_loss);
  const std::string id = archive.begin_run(example_header());
  for (int batch = 0; batch < batches; ++batch)
    archive.append(id, example_samples(batch * kBatch, kBatch));

  const std::string left = after_power_loss(path, after);
  const RunRecord record = Archive(left, Archive::Access::write).load(id);
  CHECK(record.samples.size() == static_cast<std::size_t>(batches * kBatch));
  CHECK(record.closing.end == RunEnd::running);
}

TEST_CASE("A run that only need survive its program does not wait for the disk") {
  const TemporaryFolder folder, after;
  const std::string path = folder.file("club.db");
  const RememberingDisk disk;
  Archive archive(path, Archive::Access::write, Archive::Durability::process_crash);
  const std::string id = archive.begin_run(example_header());
  on_disk().clear();
  for (int batch = 0; batch < 10; ++batch) archive.append(id, example_samples(batch * 20, 20));
  CHECK(on_disk().empty());
}

TEST_CASE("A file system that gives no shared memory is no place for an archive") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const RememberingDisk network(false);
  const auto outcome = outcome_of([&] { const Archive made(path, Archive::Access::write); });
  CHECK_FALSE(outcome.user);
  CHECK(outcome.message ==
        path +
            ": this file system cannot hold an archive that is safe against power loss (no "
            "write-ahead log); use a local disk");
}

}  // namespace sagbench::reports
