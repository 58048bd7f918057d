#pragma once
// A disk that fails when told to, under SQLite's feet: its default file system in this process.

#include <atomic>
#include <cstdint>
#include <memory>

namespace sagbench::campaign {

/// Installed for as long as it lives; one at a time. Without orders it only counts. Orders may come
/// from another thread than SQLite's. While it is installed nothing in SQLite sleeps.
class Disk {
 public:
  Disk();
  ~Disk();
  Disk(const Disk&) = delete;
  Disk& operator=(const Disk&) = delete;

  /// Every write finds no space.
  void set_full(bool full) noexcept { full_ = full; }
  /// Another program holds the lock that a writer needs.
  void set_busy(bool busy) noexcept { busy_ = busy; }

  enum class Call : int { write, sync, truncate };
  /// The `number`-th such call from now on (1: the next) fails with `code`, and with `lasting` all
  /// behind it. 0: none.
  void fail(Call call, int number, int code, bool lasting) noexcept;
  /// All orders are off; the counts stay.
  void heal() noexcept;
  /// How many there were since fail().
  int calls(Call call) const noexcept { return counts_[static_cast<int>(call)]; }

  /// For SQLite's callbacks: SQLITE_OK or what the call ends with.
  int attempt(Call call) noexcept;
  bool busy() const noexcept { return busy_; }

 private:
  struct System;
  std::unique_ptr<System> system_;
  std::atomic<bool> full_ = false;
  std::atomic<bool> busy_ = false;
  std::atomic<int> failing_call_ = 0;
  std::atomic<int> failing_number_ = 0;
  std::atomic<int> failing_code_ = 0;
  std::atomic<bool> lasting_ = false;
  std::atomic<int> counts_[3] = {};
};

}  // namespace sagbench::campaign
