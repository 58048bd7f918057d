// For dialect_schema_test.py: `names` lists the built-in dialects, `write NAME` prints one as a
// file, `read FILE` prints "accepted" or the reader's complaint.

#include <cstdio>
#include <fstream>
#include <iterator>
#include <string>

#include "drivers/dialect.hpp"

namespace {

using namespace sagbench::drivers;

int list_names() {
  std::string all = scpi_1999().name;
  std::puts(all.c_str());
  for (const DialectVariant& variant : dialect_variants()) {
    std::puts((scpi_1999().name + "-" + std::string(variant.word)).c_str());
    all += "-" + std::string(variant.word);
  }
  std::puts(all.c_str());
  return 0;
}

int write(const std::string& name) {
  const auto dialect = built_in_dialect(name);
  if (dialect) std::fputs(to_json(*dialect).c_str(), stdout);
  return dialect ? 0 : 1;
}

int read(const std::string& path) {
  std::ifstream stream(path, std::ios::binary);
  const std::string text{std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
  const auto dialect = parse_dialect(text, path);
  std::puts(dialect ? "accepted" : dialect.error().message.c_str());
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  const std::string verb = argc > 1 ? argv[1] : "";
  if (verb == "names") return list_names();
  if (verb == "write" && argc == 3) return write(argv[2]);
  if (verb == "read" && argc == 3) return read(argv[2]);
  return 2;
}
