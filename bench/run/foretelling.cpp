#include "bench/run/foretelling.hpp"

#include <fmt/format.h>

#include <atomic>
#include <exception>
#include <functional>
#include <memory>
#include <optional>
#include <system_error>
#include <utility>

#include "bench/run/loaded_run.hpp"
#include "bench/run/predictions.hpp"
#include "reports/archive.hpp"

namespace sagbench::bench {

using analysis::PredictionTest;
using boost::asio::awaitable;

namespace {

constexpr double kLongest_s = 30.0;
constexpr double kLook_s = 0.02;

analysis::Recording recorded(const std::string& archive_path, const std::string& run_id) {
  const reports::Archive archive(archive_path, reports::Archive::Access::read);
  auto record = archive.load(run_id);
  return recording_of(record);
}

}  // namespace

struct Foretelling::Work {
  std::function<PredictionTest()> what;
  PredictionTest test;
  std::optional<std::string> failed;
  std::atomic<bool> ready{false};

  void run() noexcept {
    try {
      test = what();
    } catch (const reports::ArchiveError&) {
      // Its message names the file: a run that is repeated elsewhere must say the same.
      failed = "no prediction: what was measured cannot be read back from the archive";
    } catch (const std::exception& error) {
      failed = fmt::format("no prediction can be made: {}", error.what());
    }
    ready.store(true);
  }
};

Foretelling::Foretelling(std::string archive_path, std::string run_id, bool virtual_time)
    : archive_path_(std::move(archive_path)),
      run_id_(std::move(run_id)),
      virtual_time_(virtual_time) {}

awaitable<std::string> Foretelling::before(TransmitStep step, int row, Rig& rig) {
  foretold_.reset();
  const auto work = std::make_shared<Work>();
  work->what = [path = archive_path_, run = run_id_, step = std::move(step), row] {
    return prediction_test(recorded(path, run), row, step);
  };
  const auto failed = co_await done(work, rig);
  if (failed) co_return *failed;
  foretold_ = work->test;
  co_return prediction_words(work->test);
}

awaitable<std::string> Foretelling::after(Rig& rig) {
  if (!foretold_ || !foretold_->predicted) co_return "";
  const auto work = std::make_shared<Work>();
  work->what = [path = archive_path_, run = run_id_, test = *foretold_]() mutable {
    compare(test, recorded(path, run));
    return test;
  };
  const auto failed = co_await done(work, rig);
  if (failed) co_return *failed;
  co_return outcome_words(work->test);
}

awaitable<std::optional<std::string>> Foretelling::done(std::shared_ptr<Work> work, Rig& rig) {
  co_await rig.settle();  // all of it is in the archive
  if (virtual_time_) {
    work->run();
    co_return work->failed;
  }
  try {
    threads_.emplace_back([work] { work->run(); });
  } catch (const std::system_error& error) {
    co_return fmt::format("no prediction can be made: {}", error.what());
  }
  const double latest_s = rig.now_s() + kLongest_s;
  while (!work->ready.load() && rig.now_s() < latest_s)
    co_await rig.wait_until(rig.now_s() + kLook_s);
  if (!work->ready.load())
    co_return fmt::format("no prediction: it took more than {:.0f} s", kLongest_s);
  co_return work->failed;
}

}  // namespace sagbench::bench
