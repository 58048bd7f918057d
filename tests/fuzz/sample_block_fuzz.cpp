// The content of a packed block of samples, in an archive that anybody may have written: two bytes
// for how many samples it is said to hold, then what is deflated in it.

#include <zlib.h>

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "promise.hpp"
#include "reports/sample_block.hpp"

namespace sagbench::fuzz {
namespace {

using analysis::Sample;

std::string deflated(std::string_view bytes) {
  uLongf size = compressBound(bytes.size());
  std::string block(size, '\0');
  compress2(reinterpret_cast<Bytef*>(block.data()), &size,
            reinterpret_cast<const Bytef*>(bytes.data()), bytes.size(), 1);
  block.resize(size);
  return block;
}

void check_block(std::string_view content, std::size_t count) {
  std::vector<Sample> samples(count);
  if (!reports::decode_block(deflated(content), samples)) return;
  for (const Sample& sample : samples)
    promise(std::isfinite(sample.time_s) && std::isfinite(sample.voltage_v), "numbers are finite");
  const std::string again = reports::encode_block(samples);
  std::vector<Sample> back(count);
  promise(reports::decode_block(again, back), "what was unpacked can be packed");
  promise(reports::encode_block(back) == again, "and comes back");
}

}  // namespace
}  // namespace sagbench::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size < 2) return 0;
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const std::size_t count = (std::size_t{data[0]} << 8U | data[1]) % 4100;
  sagbench::fuzz::check_block(bytes.substr(2), count);
  return 0;
}
