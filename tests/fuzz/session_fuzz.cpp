// An instrument that answers whatever it likes, when it likes. Each message sent to it takes the
// next piece of the input: a byte for the delay, a byte for the length, the bytes of the answer.

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>

#include "../unit/drivers/scpi_desk.hpp"
#include "drivers/quotes.hpp"
#include "promise.hpp"

namespace sagbench::fuzz {
namespace {

using namespace drivers;
using drivers::test::Desk;
using drivers::test::kIdentity;
using drivers::test::Reply;

/// The rest of the input.
class Whims {
 public:
  Whims(const std::uint8_t* data, std::size_t size)
      : bytes_(reinterpret_cast<const char*>(data), size) {}

  std::vector<Reply> next(const std::string& message) {
    if (at_ + 2 > bytes_.size()) return {};
    const auto delay = static_cast<unsigned char>(bytes_[at_]);
    const auto length = static_cast<unsigned char>(bytes_[at_ + 1]);
    at_ += 2;
    Reply reply{bytes_.substr(at_, length), std::chrono::milliseconds(10) * delay};
    at_ = std::min(at_ + length, bytes_.size());
    // Else no input would get beyond open().
    if (message == "*IDN?" && length == 0) reply.bytes = kIdentity + "\n";
    return {reply};
  }

 private:
  std::string bytes_;
  std::size_t at_ = 0;
};

void check(const Result<Exchange>& exchange, const std::string& message) {
  if (!exchange) return promise_one_line(exchange.error().message);
  promise(exchange->answered >= exchange->sent, "time goes on");
  promise(!exchange->answer.empty(), "an answer says something");
  promise(exchange->answer.size() <= SessionOptions{}.longest_answer + 256, "within bounds");
  promise(!exchange->answer.starts_with(message), "an echo is no answer");
  const bool has_block = exchange->answer.find('#') != std::string::npos;
  promise(has_block || is_printable(exchange->answer), "an answer is text, but for its blocks");
}

void check_time(Desk& desk, Time since) {
  constexpr Time kLongest = std::chrono::seconds(60);  // all attempts to get in step again, twice
  promise(desk.time.clock.now() - since < kLongest, "every call ends");
}

}  // namespace
}  // namespace sagbench::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace sagbench::fuzz;
  Whims whims(data, size);
  Desk desk;
  desk.script->answer = [&](const std::string& message) { return whims.next(message); };
  const Result<void> opened = desk.open();
  if (!opened) promise_one_line(opened.error().message);
  for (const auto* query : {"A?", "MEAS:VOLT?", "A?"}) {
    const Time before = desk.time.clock.now();
    check(desk.query(query), query);
    check_time(desk, before);
  }
  const Time before = desk.time.clock.now();
  const Result<Exchange> set = desk.set("CURR 1");
  if (!set) promise_one_line(set.error().message);
  check_time(desk, before);
  promise(desk.time.run(desk.session.send("INP OFF")).has_value(), "OFF goes out");
  promise(desk.script->heard.back().starts_with("INP OFF"), "OFF goes out whole");
  return 0;
}
