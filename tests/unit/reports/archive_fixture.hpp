#pragma once
// What the archive tests share: a folder that goes away, records with every field set.

#include <sqlite3.h>

#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "../../temporary_folder.hpp"
#include "reports/archive.hpp"

namespace sagbench::reports::testing {

using tests::TemporaryFolder;

inline RunHeader example_header() {
  RunHeader header;
  header.utc = "2026-03-01T08:05:09Z";
  header.pack_name = "Feldtag-Akku Nº 3 ⚡";
  header.pack_json = R"({"name": "Feldtag-Akku Nº 3 ⚡"})";
  header.bench_json = "{}";
  header.plan_json = R"({"steps": []})";
  header.instruments = {{"load", "ACME,L1,0001,1.0", "tcp:localhost:5025", "2026-03-01"},
                        {"meter", "ACME,M1,0002,1.0", "/dev/ttyUSB1", ""}};
  header.software = "sagbench 0.1.0";
  header.notes = {"no watchdog", "no meter channel for temperature"};
  return header;
}

inline analysis::Sample example_sample(int number) {
  analysis::Sample sample;
  sample.time_s = 0.1 * number;
  sample.round_trip_s = 0.012;
  sample.voltage_v = 13.2 - 1e-3 * number;
  sample.current_a = 1.0 / 3.0;
  sample.commanded_a = 0.3;
  sample.step = number % 3;
  sample.phase = analysis::Phase::discharge;
  return sample;
}

inline std::vector<analysis::Sample> example_samples(int first, int count) {
  std::vector<analysis::Sample> samples;
  for (int number = first; number < first + count; ++number) {
    samples.push_back(example_sample(number));
  }
  return samples;
}

/// The kind and text of the ArchiveError that `work` ends with; empty text when it ends well.
struct Outcome {
  bool user = false;
  std::string message;
};

template <class Work>
Outcome outcome_of(Work&& work) {
  try {
    work();
  } catch (const ArchiveError& error) {
    return {error.kind() == ArchiveError::Kind::user, error.what()};
  }
  return {};
}

inline bool contains(std::string_view text, std::string_view part) {
  return text.find(part) != std::string_view::npos;
}

/// Changes a file behind the archive's back.
inline void run_sql(const std::string& path, const std::string& sql) {
  sqlite3* handle = nullptr;
  if (sqlite3_open(path.c_str(), &handle) != SQLITE_OK) throw std::runtime_error("cannot open");
  const int code = sqlite3_exec(handle, sql.c_str(), nullptr, nullptr, nullptr);
  sqlite3_close(handle);
  if (code != SQLITE_OK) throw std::runtime_error("refused: " + sql);
}

}  // namespace sagbench::reports::testing
