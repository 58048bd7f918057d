#include "disk.hpp"

#include <sqlite3.h>

#include <new>

namespace sagbench::campaign {
namespace {

/// What SQLite holds of an open file; the system's own lies behind it in the same memory.
struct File {
  sqlite3_file base;
  Disk* disk;
  sqlite3_file* inner() { return reinterpret_cast<sqlite3_file*>(this + 1); }
};

File& mine(sqlite3_file* file) {
  return *reinterpret_cast<File*>(file);
}

sqlite3_file* inner(sqlite3_file* file) {
  return mine(file).inner();
}

int write(sqlite3_file* file, const void* data, int size, sqlite3_int64 at) {
  const int code = mine(file).disk->attempt(Disk::Call::write);
  return code != SQLITE_OK ? code : inner(file)->pMethods->xWrite(inner(file), data, size, at);
}

int truncate(sqlite3_file* file, sqlite3_int64 size) {
  const int code = mine(file).disk->attempt(Disk::Call::truncate);
  return code != SQLITE_OK ? code : inner(file)->pMethods->xTruncate(inner(file), size);
}

int sync(sqlite3_file* file, int flags) {
  const int code = mine(file).disk->attempt(Disk::Call::sync);
  static_cast<void>(flags);  // nobody pulls this computer's plug: waiting for a disk is for nothing
  return code;
}

int lock_shared_memory(sqlite3_file* file, int first, int count, int flags) {
  constexpr int kWanted = SQLITE_SHM_LOCK | SQLITE_SHM_EXCLUSIVE;
  if ((flags & kWanted) == kWanted && mine(file).disk->busy()) return SQLITE_BUSY;
  return inner(file)->pMethods->xShmLock(inner(file), first, count, flags);
}

int close(sqlite3_file* file) {
  return inner(file)->pMethods->xClose(inner(file));
}

/// Version 2: with shared memory, which the write-ahead log needs, and without memory mapping,
/// which would go past xWrite.
sqlite3_io_methods methods() {
  sqlite3_io_methods table = {};
  table.iVersion = 2;
  table.xClose = close;
  table.xRead = [](sqlite3_file* f, void* into, int size, sqlite3_int64 at) {
    return inner(f)->pMethods->xRead(inner(f), into, size, at);
  };
  table.xWrite = write;
  table.xTruncate = truncate;
  table.xSync = sync;
  table.xFileSize = [](sqlite3_file* f, sqlite3_int64* size) {
    return inner(f)->pMethods->xFileSize(inner(f), size);
  };
  table.xLock = [](sqlite3_file* f, int level) {
    return inner(f)->pMethods->xLock(inner(f), level);
  };
  table.xUnlock = [](sqlite3_file* f, int level) {
    return inner(f)->pMethods->xUnlock(inner(f), level);
  };
  table.xCheckReservedLock = [](sqlite3_file* f, int* held) {
    return inner(f)->pMethods->xCheckReservedLock(inner(f), held);
  };
  table.xFileControl = [](sqlite3_file* f, int operation, void* argument) {
    return inner(f)->pMethods->xFileControl(inner(f), operation, argument);
  };
  table.xSectorSize = [](sqlite3_file* f) { return inner(f)->pMethods->xSectorSize(inner(f)); };
  table.xDeviceCharacteristics = [](sqlite3_file* f) {
    return inner(f)->pMethods->xDeviceCharacteristics(inner(f));
  };
  table.xShmMap = [](sqlite3_file* f, int page, int size, int extend, void volatile** at) {
    return inner(f)->pMethods->xShmMap(inner(f), page, size, extend, at);
  };
  table.xShmLock = lock_shared_memory;
  table.xShmBarrier = [](sqlite3_file* f) { inner(f)->pMethods->xShmBarrier(inner(f)); };
  table.xShmUnmap = [](sqlite3_file* f, int remove) {
    return inner(f)->pMethods->xShmUnmap(inner(f), remove);
  };
  return table;
}

sqlite3_io_methods& shared_methods() {
  static sqlite3_io_methods table = methods();
  return table;
}

}  // namespace

/// Everything but open and sleep is the system's, called with the system's own table.
struct Disk::System {
  sqlite3_vfs shim;
  sqlite3_vfs* real;
  Disk* disk;

  static System& of(sqlite3_vfs* vfs) { return *static_cast<System*>(vfs->pAppData); }

  static int open(sqlite3_vfs* vfs, const char* name, sqlite3_file* file, int flags, int* given) {
    System& system = of(vfs);
    File* const opened = new (file) File{{nullptr}, system.disk};
    const int code = system.real->xOpen(system.real, name, opened->inner(), flags, given);
    if (opened->inner()->pMethods != nullptr) opened->base.pMethods = &shared_methods();
    return code;
  }
  static int remove(sqlite3_vfs* vfs, const char* name, int sync_folder) {
    return of(vfs).real->xDelete(of(vfs).real, name, sync_folder);
  }
  static int access(sqlite3_vfs* vfs, const char* name, int flags, int* result) {
    return of(vfs).real->xAccess(of(vfs).real, name, flags, result);
  }
  static int full_path(sqlite3_vfs* vfs, const char* name, int size, char* into) {
    return of(vfs).real->xFullPathname(of(vfs).real, name, size, into);
  }
};

Disk::Disk() : system_(std::make_unique<System>()) {
  system_->real = sqlite3_vfs_find(nullptr);
  system_->disk = this;
  system_->shim = *system_->real;
  system_->shim.zName = "campaign";
  system_->shim.pNext = nullptr;
  system_->shim.pAppData = system_.get();
  system_->shim.szOsFile += static_cast<int>(sizeof(File));
  system_->shim.xOpen = System::open;
  system_->shim.xDelete = System::remove;
  system_->shim.xAccess = System::access;
  system_->shim.xFullPathname = System::full_path;
  system_->shim.xSleep = [](sqlite3_vfs*, int microseconds) { return microseconds; };
  sqlite3_vfs_register(&system_->shim, 1);
}

Disk::~Disk() {
  sqlite3_vfs_unregister(&system_->shim);
  sqlite3_vfs_register(system_->real, 1);
}

void Disk::fail(Call call, int number, int code, bool lasting) noexcept {
  failing_number_ = 0;
  for (auto& count : counts_) count = 0;
  failing_call_ = static_cast<int>(call);
  failing_code_ = code;
  lasting_ = lasting;
  failing_number_ = number;
}

void Disk::heal() noexcept {
  full_ = busy_ = false;
  failing_number_ = 0;
}

int Disk::attempt(Call call) noexcept {
  const int kind = static_cast<int>(call);
  const int number = ++counts_[kind];
  if (full_ && call == Call::write) return SQLITE_FULL;
  if (failing_number_ == 0 || failing_call_ != kind) return SQLITE_OK;
  const bool fails = lasting_ ? number >= failing_number_ : number == failing_number_;
  return fails ? failing_code_.load() : SQLITE_OK;
}

}  // namespace sagbench::campaign
