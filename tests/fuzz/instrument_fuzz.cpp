// What a client sends to a simulated instrument. The first byte chooses the instrument and in how
// many pieces the rest comes.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>

#include "drivers/quotes.hpp"
#include "drivers/virtual/virtual_bench.hpp"
#include "promise.hpp"

namespace sagbench::fuzz {
namespace {

using namespace drivers;
using namespace drivers::virtual_bench;

WorldSpec small_world() {
  WorldSpec world;
  world.pack.chemistry = analysis::Chemistry::lfp;
  world.pack.series = 2;
  world.pack.rated_capacity_ah = 1.0;
  world.cells.assign(2, CellTrait{});
  return world;
}

MeterSpec small_meter() {
  MeterSpec meter;
  meter.channels = {101, {102, 103}, 104};
  return meter;
}

void check_answer(const Answer& answer) {
  promise(answer.bytes.size() > 1 && answer.bytes.back() == '\n', "an answer is a whole line");
  promise(is_printable({answer.bytes.data(), answer.bytes.size() - 1}), "an answer is printable");
}

void check_truth(const Truth& truth) {
  promise(std::isfinite(truth.pack_v) && std::isfinite(truth.current_a), "the pack stays real");
  promise(truth.current_a == 0.0 || truth.input_on, "no current flows with the input off");
}

}  // namespace
}  // namespace sagbench::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace sagbench::fuzz;
  if (size == 0) return 0;
  VirtualBench bench(small_world(), LoadSpec{}, small_meter(), 1);
  VirtualInstrument& instrument = data[0] % 2 == 0 ? bench.load() : bench.meter();
  const std::size_t piece = 1 + data[0] / 2U;
  const std::string bytes(reinterpret_cast<const char*>(data + 1), size - 1);
  sagbench::drivers::Time now{0};
  for (std::size_t at = 0; at < bytes.size(); at += piece) {
    now += std::chrono::milliseconds(10);
    for (const auto& answer : instrument.receive(bytes.substr(at, piece), now)) {
      check_answer(answer);
    }
  }
  instrument.forget_half_line();
  check_truth(bench.truth(now));
  // Whatever came before: the instrument still understands.
  instrument.receive("INP OFF\n*CLS\n", now);
  const auto answers = instrument.receive("SYST:ERR?\n", now);
  promise(answers.size() == 1 && answers.front().bytes == "0,\"No error\"\n", "it still answers");
  return 0;
}
