#pragma once
// The demo's other files: bench, radios, plan and operations, written out so that the user can
// change them and run again.

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

namespace sagbench::bench {

struct DemoFile {
  std::string name;
  nlohmann::ordered_json json;
};

/// `cell_taps`: meter channels of that many cells. The bench's file name is "bench.json", or
/// "bench-agm.json" without taps.
DemoFile demo_bench(int cell_taps);
/// "plan.json", "radio-qrp.json", "radio-qro.json", "operation-summit.json",
/// "operation-field.json".
std::vector<DemoFile> demo_files();

/// Writes pretty-printed JSON. Throws InputError naming the path.
void write_json_file(const std::filesystem::path& path, const nlohmann::ordered_json& json);

}  // namespace sagbench::bench
