#pragma once
// The words an instrument understands. Words are data: SCPI-1999 has no class for electronic loads,
// so every load has its own. "{}" stands for a number or a channel list. An operation without words
// is absent.

#include <optional>
#include <string>

#include "drivers/result.hpp"

namespace sagbench::drivers {

struct Dialect {
  std::string name;
  std::string error_query = "SYST:ERR?";
  std::string clear = "*CLS";
  std::string current_mode = "FUNC:MODE CURR";
  std::string set_current = "CURR {}";
  std::string current_protection = "CURR:PROT {}";
  std::optional<std::string> current_protection_query;
  std::optional<std::string> low_voltage_stop;  // set the input to drop out below {} V
  std::optional<std::string> low_voltage_stop_query;
  std::optional<std::string> watchdog;  // switch off after {} s without a message
  std::string input_on = "INP ON";
  std::string input_off = "INP OFF";
  std::string input_query = "INP?";
  std::string measure_voltage = "MEAS:VOLT?";
  std::string measure_current = "MEAS:CURR?";
  std::string measure_voltage_channel = "MEAS:VOLT? (@{})";
  std::string measure_temperature_channel = "MEAS:TEMP? (@{})";
};

/// The built-in dialect: standard forms only.
const Dialect& scpi_1999();

/// `word` with `value` in the place of its "{}"; unchanged where it has none.
std::string filled(const std::string& word, const std::string& value);

/// "scpi-1999", or a path to a dialect file ({"schema": "sagbench/dialect/1", "name": ..., then any
/// of the keys above}); a relative path is taken from `folder`. Unknown keys and wrong types are
/// `caller` errors that name file and key.
Result<Dialect> load_dialect(const std::string& name_or_path, const std::string& folder);

}  // namespace sagbench::drivers
