// Dialect files.

#include <cstddef>
#include <cstdint>
#include <string>

#include "drivers/dialect.hpp"
#include "promise.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace sagbench;
  const std::string text(reinterpret_cast<const char*>(data), size);
  const drivers::Result<drivers::Dialect> dialect = drivers::parse_dialect(text, "d.json");
  if (!dialect) {
    fuzz::promise(dialect.error().kind == drivers::ErrorKind::caller, "the file is to blame");
    fuzz::promise_one_line(dialect.error().message);
    return 0;
  }
  const auto again = drivers::parse_dialect(drivers::to_json(*dialect), "d.json");
  fuzz::promise(again.has_value(), "what was read can be written and read again");
  fuzz::promise(*again == *dialect, "and is the same");
  return 0;
}
