// For file_schema_test.py: `read KIND FILE FOLDER` prints for each document of the list in FILE
// "accepted" or the reader's complaint; `keys KIND` what `new` asks for.

#include <cstdio>
#include <exception>
#include <fstream>
#include <string>

#include "bench/files/bench_file.hpp"
#include "bench/files/input_error.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/files/plan_file.hpp"
#include "bench/files/radio_file.hpp"
#include "bench/forms/form.hpp"

namespace {

using namespace sagbench::bench;
using nlohmann::json;

void read(const std::string& kind, const json& document, const std::string& folder) {
  if (kind == "pack") pack_from_json(document, "file");
  if (kind == "bench") bench_from_json(document, "file");
  if (kind == "radio") radio_from_json(document, "file");
  if (kind == "operation") operation_from_json(document, "file", folder);
  if (kind == "plan") plan_from_json(document, "file", folder);
}

int read_all(const std::string& kind, const std::string& path, const std::string& folder) {
  for (const json& document : json::parse(std::ifstream(path))) {
    try {
      read(kind, document, folder);
      std::puts("accepted");
    } catch (const InputError& refused) {
      std::puts(refused.what());
    }
  }
  return 0;
}

int list_keys(const std::string& kind) {
  for (const Question& question : form_of(kind).questions) std::puts(question.key.c_str());
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  const std::string verb = argc > 2 ? argv[1] : "";
  if (verb == "read" && argc == 5) return read_all(argv[2], argv[3], argv[4]);
  if (verb == "keys") return list_keys(argv[2]);
  return 2;
}
