#include "drivers/usbtmc_stream.hpp"

#include <boost/asio/error.hpp>
#include <boost/asio/post.hpp>
#include <cerrno>
#include <condition_variable>
#include <mutex>
#include <thread>

#include "drivers/serial_port.hpp"

namespace sagbench::drivers {
namespace {

using boost::asio::error::operation_aborted;
using boost::system::error_code;

error_code system_error(int error) {
  // Which of the two the driver says depends on what it was doing when the device was pulled.
  if (error == ENODEV || error == ESHUTDOWN) return unplugged();
  return {error, boost::system::system_category()};
}

}  // namespace

/// The device and the thread that waits for it. The thread owns the worker too, and may outlive the
/// stream: the kernel lets go of it when it pleases.
class UsbtmcStream::Worker : public std::enable_shared_from_this<Worker> {
 public:
  Worker(std::unique_ptr<UsbtmcDevice> device, executor_type executor)
      : device_(std::move(device)), executor_(std::move(executor)) {}

  void begin() {
    std::thread([self = shared_from_this()] { self->serve(); }).detach();
  }

  // The loop's side.

  void start(Work work, Done done) {
    done_ = std::move(done);
    timed_out_ = cancelled_ = false;
    const std::lock_guard lock(mutex_);
    work_ = std::move(work);
    wake_.notify_one();
  }
  void cancel() {
    cancelled_ = true;
    if (timed_out_) abort();
  }
  void dismiss() {
    {
      const std::lock_guard lock(mutex_);
      dismissed_ = true;
      wake_.notify_one();
    }
    abort();
  }

 private:
  void abort() {
    if (!done_) return;
    boost::asio::post(executor_, [done = std::exchange(done_, nullptr)] {
      done(operation_aborted, UsbtmcTransfer{});
    });
  }
  /// The driver gives up a little earlier or later than the caller: the caller's word counts.
  void finish(const UsbtmcTransfer& transfer) {
    if (!done_) return;
    timed_out_ = transfer.error == ETIMEDOUT;
    if (timed_out_ && cancelled_) return abort();
    if (timed_out_) return;
    const Done done = std::exchange(done_, nullptr);
    done(system_error(transfer.error), transfer);
  }

  // The thread's side.

  void serve() {
    std::unique_lock lock(mutex_);
    for (;;) {
      wake_.wait(lock, [this] { return work_ || dismissed_; });
      if (dismissed_) break;
      const Work work = std::exchange(work_, nullptr);
      lock.unlock();
      UsbtmcTransfer transfer = work(*device_);
      lock.lock();
      if (dismissed_) break;  // the loop may be gone
      boost::asio::post(executor_, [self = shared_from_this(), transfer = std::move(transfer)] {
        self->finish(transfer);
      });
    }
    device_.reset();  // closing may take a while: here, not on the loop
  }

  std::unique_ptr<UsbtmcDevice> device_;
  executor_type executor_;
  Done done_;               // of the operation on its way
  bool timed_out_ = false;  // the driver has given it up
  bool cancelled_ = false;  // the caller has

  std::mutex mutex_;
  std::condition_variable wake_;
  Work work_;
  bool dismissed_ = false;
};

UsbtmcStream::~UsbtmcStream() {
  if (worker_) worker_->dismiss();
}

void UsbtmcStream::assign(std::unique_ptr<UsbtmcDevice> device) {
  worker_ = std::make_shared<Worker>(std::move(device), executor_);
  worker_->begin();
}

void UsbtmcStream::close(error_code& failure) {
  failure.clear();
  if (const auto worker = std::exchange(worker_, nullptr)) worker->dismiss();
}

void UsbtmcStream::cancel(error_code& failure) {
  failure.clear();
  if (worker_) worker_->cancel();
}

void UsbtmcStream::start(Work work, Done done) {
  worker_->start(std::move(work), std::move(done));
}

}  // namespace sagbench::drivers
