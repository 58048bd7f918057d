#include "bench/run/run_session.hpp"

#include <filesystem>

#include "bench/files/json_reader.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/files/radio_file.hpp"
#include "bench/run/session.hpp"

namespace sagbench::bench {

SourceFile read_source(const std::string& path) {
  const auto folder = std::filesystem::path(path).parent_path().string();
  return {path, folder.empty() ? "." : folder, read_json_file(path)};
}

analysis::Operation read_operation(const std::string& path) {
  const SourceFile file = read_source(path);
  return operation_from_json(file.json, file.path, file.folder);
}

std::vector<analysis::Operation> read_operations(const std::vector<std::string>& paths) {
  std::vector<analysis::Operation> operations;
  for (const std::string& path : paths) operations.push_back(read_operation(path));
  return operations;
}

BenchAndPack read_bench_and_pack(const std::string& bench_path, const std::string& pack_path) {
  BenchAndPack on{read_source(bench_path), read_source(pack_path), {}, {}};
  on.bench = bench_from_json(on.bench_file.json, bench_path);
  on.pack = pack_from_json(on.pack_file.json, pack_path);
  check_pack_fits(on.pack, on.bench, bench_path);
  return on;
}

RunResult run_session(const RunRequest& request) {
  return Session(request.on, request.seed, request.world ? &*request.world : nullptr).run(request);
}

RunResult run_session(const RunRequest& request, const Surroundings& around) {
  return Session(request.on, around).run(request);
}

void switch_off_what_was_left_on(const BenchAndPack& on, const std::string& archive_path,
                                 std::uint64_t seed) {
  if (holds_cut_short_run(archive_path)) Session(on, seed, nullptr).switch_off();
}

CheckReport check_session(const BenchAndPack& on, std::uint64_t seed) {
  return Session(on, seed, nullptr).check();
}

}  // namespace sagbench::bench
