#include "bench/foretelling.hpp"

#include <fmt/format.h>

#include <atomic>
#include <exception>
#include <functional>
#include <memory>
#include <system_error>
#include <thread>
#include <utility>

#include "bench/loaded_run.hpp"
#include "bench/predictions.hpp"
#include "reports/archive.hpp"

namespace sagbench::bench {

using boost::asio::awaitable;

namespace {

constexpr double kLongest_s = 30.0;
constexpr double kLook_s = 0.02;

/// Outlives a run that does not wait for it.
struct Work {
  std::string archive_path;
  std::string run_id;
  TransmitStep step;
  int row = 0;
  bool done = false;
  std::string words;
  std::atomic<bool> ready{false};

  void run() noexcept {
    try {
      const reports::Archive archive(archive_path, reports::Archive::Access::read);
      auto record = archive.load(run_id);
      const auto test = prediction_test(recording_of(record), row, step);
      words = done ? outcome_words(test) : prediction_words(test);
    } catch (const std::exception& error) {
      words = fmt::format("no prediction: {}", error.what());
    }
    ready.store(true);
  }
};

}  // namespace

Foretelling::Foretelling(std::string archive_path, std::string run_id, bool virtual_time)
    : archive_path_(std::move(archive_path)),
      run_id_(std::move(run_id)),
      virtual_time_(virtual_time) {}

awaitable<std::string> Foretelling::about(TransmitStep step, int row, bool done, Rig& rig) const {
  co_await rig.settle();  // all of it is in the archive
  const auto work = std::make_shared<Work>();
  work->archive_path = archive_path_;
  work->run_id = run_id_;
  work->step = std::move(step);
  work->row = row;
  work->done = done;
  if (virtual_time_) {
    work->run();
    co_return work->words;
  }
  try {
    std::thread([work] { work->run(); }).detach();
  } catch (const std::system_error& error) {
    co_return fmt::format("no prediction: {}", error.what());
  }
  const double latest_s = rig.now_s() + kLongest_s;
  while (!work->ready.load() && rig.now_s() < latest_s)
    co_await rig.wait_until(rig.now_s() + kLook_s);
  if (!work->ready.load())
    co_return fmt::format("no prediction: it took more than {:.0f} s", kLongest_s);
  co_return work->words;
}

}  // namespace sagbench::bench
