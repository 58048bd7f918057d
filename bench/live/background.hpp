#pragma once
// One thread beside the event loop, for what waits for the disk or computes long.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/thread_pool.hpp>
#include <exception>
#include <functional>
#include <memory>
#include <optional>
#include <utility>

namespace sagbench::live {

/// The thread gives way to others: a run that it tells of comes first.
class Background {
 public:
  /// Work that waits or is done; more is refused.
  static constexpr int kMost = 16;

  /// Results come as handlers of `home`.
  explicit Background(boost::asio::any_io_executor home);
  /// Waits for the work that is being done; what waits is dropped.
  ~Background();

  /// False where there is too much to do already. `make` may throw: then `done` is not called,
  /// which is for what can do without. To be called on the thread of `home`, as `done` is.
  template <class Result>
  bool run(std::function<Result()> make, std::function<void(Result)> done);
  /// As the destructor does.
  void close();

 private:
  boost::asio::any_io_executor home_;
  std::shared_ptr<int> under_way_;
  boost::asio::thread_pool thread_{1};
};

template <class Result>
bool Background::run(std::function<Result()> make, std::function<void(Result)> done) {
  if (*under_way_ >= kMost) return false;
  ++*under_way_;
  auto work = [home = home_, count = under_way_, make = std::move(make),
               done = std::move(done)]() mutable {
    std::optional<Result> result;
    try {
      result = make();
    } catch (const std::exception&) {
      result.reset();  // as said above
    }
    boost::asio::post(home, [count = std::move(count), done = std::move(done),
                             result = std::move(result)]() mutable {
      --*count;
      if (result) done(std::move(*result));
    });
  };
  boost::asio::post(thread_, std::move(work));
  return true;
}

}  // namespace sagbench::live
