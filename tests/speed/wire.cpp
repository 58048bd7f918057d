// speed_wire BAUD SECONDS [DIALECT]: voltage-and-current samples a second on a line that takes the
// time its bits take, and the share of that time which the wire was busy.

#include <cstdio>
#include <cstdlib>
#include <exception>
#include <memory>
#include <string>
#include <utility>

#include "drivers/electronic_load.hpp"
#include "measured_loop.hpp"
#include "prompt_load.hpp"
#include "wire_transport.hpp"

namespace {

using namespace sagbench;

/// What a prompt load and its line have had to carry, both ways.
class CountedLoad {
 public:
  std::string answer(const std::string& line) {
    std::string reply = speed::prompt_answer(line);
    bytes_ += line.size() + 1 + reply.size();
    return reply;
  }
  std::size_t take_bytes() { return std::exchange(bytes_, 0); }

 private:
  std::size_t bytes_ = 0;
};

boost::asio::awaitable<void> sample(drivers::ElectronicLoad& load) {
  const auto readings = co_await load.measure();
  speed::expect(readings);
}

boost::asio::awaitable<void> measure(speed::MeasuredLoop& loop, double seconds,
                                     drivers::ElectronicLoad& load, CountedLoad& far_end,
                                     const speed::WireTransport& wire) {
  const auto opened = co_await load.open();
  speed::expect(opened);
  far_end.take_bytes();
  const drivers::Time begin = loop.clock.now();
  const drivers::Time end = begin + drivers::from_seconds(seconds);
  long count = 0;
  for (; loop.clock.now() < end; ++count) co_await sample(load);
  const double took_s = drivers::to_seconds(loop.clock.now() - begin);
  const double busy_s = drivers::to_seconds(wire.time_of(far_end.take_bytes()));
  std::printf("%.2f %.2f\n", static_cast<double>(count) / took_s,
              static_cast<double>(count) / busy_s);
}

void measure(unsigned baud, double seconds, const std::string& dialect) {
  speed::MeasuredLoop loop;
  CountedLoad far_end;
  auto transport = std::make_unique<speed::WireTransport>(
      loop.clock, baud, [&](const std::string& line) { return far_end.answer(line); });
  const speed::WireTransport& wire = *transport;
  drivers::ElectronicLoad load(std::move(transport), loop.clock,
                               speed::expect(drivers::load_dialect(dialect, ".")));
  loop.run(measure(loop, seconds, load, far_end, wire));
}

}  // namespace

int main(int count, char** words) {
  if (count < 3 || count > 4) {
    std::fputs("usage: speed_wire BAUD SECONDS [DIALECT]\n", stderr);
    return 2;
  }
  try {
    measure(static_cast<unsigned>(std::atoi(words[1])), std::atof(words[2]),
            count == 4 ? words[3] : "scpi-1999");
  } catch (const std::exception& failure) {
    std::fprintf(stderr, "%s\n", failure.what());
    return 4;
  }
  return 0;
}
