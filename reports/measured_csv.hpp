#pragma once
// Measured data from other loggers: one CSV file becomes samples.

#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include "analysis/recording.hpp"

namespace sagbench::reports {

struct CsvColumns {
  std::string time = "time_s";
  std::string voltage = "voltage_V";
  std::string current = "current_A";
  std::optional<std::string> temperature;  // absent: "temperature_C" if the file has it
  bool discharge_negative = false;         // the file's current is negative on discharge: turn it
  std::optional<double> from_s, to_s;      // keep only rows within, in the file's own time
};

/// Message names file, line and column.
class CsvError : public std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// The text of a CSV file, without UTF-8's mark. CsvErrors: no such file, a folder, not readable,
/// another encoding.
std::string read_csv_text(const std::string& path);

/// Samples with time starting at 0, phase imported, step 0. Equal time stamps are kept; time
/// running backwards, missing columns, text where a number belongs, non-finite numbers and an empty
/// file are CsvErrors.
std::vector<analysis::Sample> read_measured_csv(const std::string& path, const CsvColumns& columns);

}  // namespace sagbench::reports
