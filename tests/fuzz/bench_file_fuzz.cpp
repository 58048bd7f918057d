// Bench files.

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>

#include "bench/files/bench_file.hpp"
#include "bench/files/input_error.hpp"
#include "bench/files/json_reader.hpp"
#include "promise.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace sagbench;
  const std::string text(reinterpret_cast<const char*>(data), size);
  try {
    const bench::Bench read = bench::bench_from_json(bench::parse_json(text, "b.json"), "b.json");
    fuzz::promise(!read.load.port.empty(), "a load has a port");
    fuzz::promise(std::isfinite(read.load.max_current_a) && read.load.max_current_a > 0.0,
                  "a load has a limit");
  } catch (const bench::InputError& error) {
    fuzz::promise_one_line(error.what());
  }
  return 0;
}
