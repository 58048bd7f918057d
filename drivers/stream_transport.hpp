#pragma once
// What TCP and serial lines have in common: reading, writing and closing an Asio stream, each by a
// deadline.

#include <array>
#include <boost/asio/buffer.hpp>
#include <boost/asio/error.hpp>
#include <memory>
#include <string>
#include <string_view>
#include <utility>

#include "drivers/at_once.hpp"
#include "drivers/transport.hpp"

namespace sagbench::drivers {

/// One asynchronous operation on its way. Its handler shares it, so a handler that comes late finds
/// it alive.
struct PendingOperation {
  bool pending = true;
  boost::system::error_code failure;
  std::size_t count = 0;
  std::string bytes;  // what is being sent, or room for what comes
};

/// The stream and what its handlers need; outlives the transport until the last handler has run.
template <class Stream>
struct StreamLine {
  StreamLine(const boost::asio::any_io_executor& executor, Clock& the_clock, std::string the_name)
      : stream(executor), clock(the_clock), alarm(clock.make_alarm()), name(std::move(the_name)) {}

  Stream stream;
  Clock& clock;
  std::unique_ptr<Alarm> alarm;
  std::string name;
  bool interrupted = false;
};

template <class Stream>
class StreamTransport : public Transport {
 public:
  StreamTransport(const boost::asio::any_io_executor& executor, Clock& clock, std::string name)
      : line_(std::make_shared<StreamLine<Stream>>(executor, clock, std::move(name))) {}
  ~StreamTransport() override { shut(*line_); }
  StreamTransport(const StreamTransport&) = delete;
  StreamTransport& operator=(const StreamTransport&) = delete;

  boost::asio::awaitable<Result<void>> write(std::string_view bytes, Time deadline) override {
    return write_on(line_, std::string(bytes), deadline);
  }
  boost::asio::awaitable<Result<void>> read(std::string& into, Time deadline) override {
    return read_from(line_, into, deadline);
  }
  void take_arrived(std::string& into) override;
  void interrupt() noexcept override {
    line_->interrupted = true;
    line_->alarm->ring();
  }
  void close() noexcept override { shut(*line_); }
  const std::string& name() const noexcept override { return line_->name; }

 protected:
  using Line = std::shared_ptr<StreamLine<Stream>>;
  template <class T>
  using Awaitable = boost::asio::awaitable<T>;

  /// The completion handler of an operation: notes how it ended and wakes who waits for it.
  struct Finish {
    Line line;
    std::shared_ptr<PendingOperation> operation;
    template <class... Others>
    void operator()(boost::system::error_code failure, const Others&...) const {
      end(failure, 0);
    }
    void operator()(boost::system::error_code failure, std::size_t count) const {
      end(failure, count);
    }
    void end(boost::system::error_code failure, std::size_t count) const {
      operation->failure = failure;
      operation->count = count;
      operation->pending = false;
      line->alarm->ring();
    }
  };

  /// True when the operation is over, false when the deadline or interrupt() came first.
  static Awaitable<bool> over_by(Line line, std::shared_ptr<PendingOperation> operation,
                                 Time deadline);
  /// Waits for a stream operation; at the deadline cancels it. If it was done by then, it counts.
  static Awaitable<Result<void>> finish(Line line, std::shared_ptr<PendingOperation> operation,
                                        Time deadline);
  static Error failed(const StreamLine<Stream>& line, ErrorKind kind, const std::string& what) {
    return Error{kind, line.name + ": " + what};
  }
  static void shut(StreamLine<Stream>& line) noexcept {
    boost::system::error_code ignored;  // closing what is gone already is no news
    line.stream.close(ignored);
  }
  const Line& line() const noexcept { return line_; }

 private:
  static Awaitable<Result<void>> write_on(Line line, std::string bytes, Time deadline);
  static Awaitable<Result<void>> read_from(Line line, std::string& into, Time deadline);

  Line line_;
};

template <class Stream>
boost::asio::awaitable<bool> StreamTransport<Stream>::over_by(
    Line line, std::shared_ptr<PendingOperation> operation, Time deadline) {
  // The alarm may also ring for an earlier operation that ended late: then wait on. (The await
  // stands alone: inside the loop's condition, behind &&, GCC 12 compiles it wrongly.)
  bool expired = false;
  line->interrupted = false;  // what came while nobody waited is none of this wait's business
  while (operation->pending && !expired && !line->interrupted) {
    expired = co_await line->alarm->until(deadline);
  }
  co_return !operation->pending;
}

template <class Stream>
boost::asio::awaitable<Result<void>> StreamTransport<Stream>::finish(
    Line line, std::shared_ptr<PendingOperation> operation, Time deadline) {
  const bool in_time = co_await over_by(line, operation, deadline);
  if (!in_time) {
    boost::system::error_code ignored;  // a line that cannot cancel fails the operation itself
    line->stream.cancel(ignored);
    const Time at_once = line->clock.now() + std::chrono::seconds(1);
    const bool cancelled = co_await over_by(line, operation, at_once);
    if (!cancelled) {
      shut(*line);
      co_return failed(*line, ErrorKind::disconnected, "the line does not react to a cancel");
    }
  }
  if (!line->stream.is_open()) co_return failed(*line, ErrorKind::disconnected, "closed");
  if (!operation->failure) co_return Result<void>{};
  if (!in_time && operation->failure == boost::asio::error::operation_aborted) {
    co_return failed(*line, ErrorKind::timeout, "silent until the deadline");
  }
  shut(*line);
  co_return failed(*line, ErrorKind::disconnected,
                   operation->failure == boost::asio::error::eof ? "closed by the other end"
                                                                 : operation->failure.message());
}

template <class Stream>
boost::asio::awaitable<Result<void>> StreamTransport<Stream>::write_on(Line line, std::string bytes,
                                                                       Time deadline) {
  if (!line->stream.is_open())
    co_return failed(*line, ErrorKind::disconnected, "the line is not open");
  const std::size_t at_once = send_at_once(line->stream, bytes);
  if (at_once == bytes.size()) co_return Result<void>{};
  const auto operation = std::make_shared<PendingOperation>();
  operation->bytes = std::move(bytes);
  // Piece by piece, not async_write: a cancel between two of its pieces would not stop it.
  for (std::size_t sent = at_once; sent < operation->bytes.size(); sent += operation->count) {
    operation->pending = true;
    line->stream.async_write_some(boost::asio::buffer(operation->bytes) + sent,
                                  Finish{line, operation});
    const Result<void> written = co_await finish(line, operation, deadline);
    if (!written) co_return written;
  }
  co_return Result<void>{};
}

template <class Stream>
boost::asio::awaitable<Result<void>> StreamTransport<Stream>::read_from(Line line,
                                                                        std::string& into,
                                                                        Time deadline) {
  constexpr std::size_t kRoom = 4096;
  if (!line->stream.is_open())
    co_return failed(*line, ErrorKind::disconnected, "the line is not open");
  const auto operation = std::make_shared<PendingOperation>();
  operation->bytes.resize(kRoom);
  line->stream.async_read_some(boost::asio::buffer(operation->bytes), Finish{line, operation});
  const Result<void> got = co_await finish(line, operation, deadline);
  if (got) into.append(operation->bytes, 0, operation->count);
  co_return got;
}

template <class Stream>
void StreamTransport<Stream>::take_arrived(std::string& into) {
  if (!line_->stream.is_open()) return;
  constexpr int kChunks = 64;  // an end to it, should bytes come faster than they are taken
  std::array<char, 1024> chunk{};
  for (int chunks = 0; chunks < kChunks; ++chunks) {
    const std::size_t count = take_at_once(line_->stream, chunk);
    if (count == 0) return;
    into.append(chunk.data(), count);
  }
}

}  // namespace sagbench::drivers
