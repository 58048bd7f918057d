#pragma once
// The words an instrument understands. Words are data: SCPI-1999 has no class for electronic loads,
// so every load has its own.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "drivers/result.hpp"

namespace sagbench::drivers {

/// Which of two quantities an answer gives first.
enum class Quantity { current, voltage };

/// One thing an instrument can be told or asked, with all that is known about it.
struct Operation {
  std::string send;             // one message; "{}" stands for a number or a list
  std::optional<double> min{};  // what a setting takes, both included; open where absent
  std::optional<double> max{};
  std::optional<int> decimals{};  // digits after the point; absent: as many as the number has
  double settle_s = 0.0;          // after a setting: no reading shows it earlier
  double takes_s = 0.0;           // the instrument's own work, which an answer waits for
  std::string on{};   // of a query for a state: the words answered instead of 1 or ON ...
  std::string off{};  // ... and instead of 0 or OFF
  Quantity first = Quantity::current;  // of measure_both

  friend bool operator==(const Operation&, const Operation&) = default;
};

/// The currents and times an instrument plays by itself once triggered (LIST of SCPI-1999).
struct CurrentList {
  // What a dialect file may say.
  static constexpr int kMostPoints = 100000;
  static constexpr double kShortestDwell_s = 1e-6, kLongestDwell_s = 86400.0;

  int max_points = 100;
  double shortest_dwell_s = 0.001;
  double longest_dwell_s = 3600.0;
  Operation currents{"LIST:CURR {}"};  // "{}": numbers with commas between
  Operation dwells{"LIST:DWEL {}"};
  std::optional<Operation> count = Operation{"LIST:COUN {}"};  // how often; absent: always once
  Operation enter_mode{"CURR:MODE LIST"};
  Operation leave_mode{"CURR:MODE FIX"};
  Operation trigger{"INIT"};

  friend bool operator==(const CurrentList&, const CurrentList&) = default;
};

/// Defaults are the words of "scpi-1999". What is absent the instrument cannot do.
struct Dialect {
  std::string name;
  Operation error_query{"SYST:ERR?"};
  Operation clear{"*CLS"};
  /// Answers 1 once all before it is done. Asked after every setting that has a `takes_s`.
  std::optional<Operation> operation_complete;

  std::optional<Operation> current_mode = Operation{"FUNC:MODE CURR"};
  Operation set_current{"CURR {}"};
  Operation input_on{"INP ON"};
  Operation input_off{"INP OFF"};
  Operation input_query{"INP?"};
  Operation measure_voltage{"MEAS:VOLT?"};
  Operation measure_current{"MEAS:CURR?"};
  /// Both in one exchange.
  std::optional<Operation> measure_both;
  std::optional<CurrentList> list;

  std::optional<Operation> remote_sense_on;
  std::optional<Operation> remote_sense_off;
  std::optional<Operation> remote_sense_query;

  std::optional<Operation> current_protection = Operation{"CURR:PROT {}"};
  std::optional<Operation> current_protection_query;
  std::optional<Operation> power_protection;  // W
  std::optional<Operation> power_protection_query;
  /// The input goes off when its voltage falls below this, V.
  std::optional<Operation> low_voltage_stop;
  std::optional<Operation> low_voltage_stop_query;
  /// The input goes off after so many seconds without a message; any message feeds it.
  std::optional<Operation> watchdog;
  std::optional<Operation> watchdog_query;
  std::optional<Operation> protection_tripped_query;

  // Of a meter. "{}": a channel, or channels with commas between.
  std::optional<Operation> measure_voltage_channel = Operation{"MEAS:VOLT? (@{})"};
  std::optional<Operation> measure_temperature_channel = Operation{"MEAS:TEMP? (@{})"};
  std::optional<Operation> scan_voltages;
  /// Integration time of a voltage, in cycles of the mains.
  std::optional<Operation> integration_cycles;
  std::optional<Operation> integration_cycles_query;

  friend bool operator==(const Dialect&, const Dialect&) = default;
};

/// The built-in dialect: standard forms only.
const Dialect& scpi_1999();

/// What can follow the name "scpi-1999", each as "-word": a built-in dialect that differs from it
/// in this. Several may follow one another: "scpi-1999-output-guarded".
struct DialectVariant {
  std::string_view word;
  std::string_view differs;  // for people
};
const std::vector<DialectVariant>& dialect_variants();
/// Nothing for a name that is not built in.
std::optional<Dialect> built_in_dialect(std::string_view name);

/// `word` with `value` in the place of its "{}"; unchanged where it has none.
std::string filled(const std::string& word, const std::string& value);
/// `value` as the operation takes it: rounded to its decimals, never with more digits than needed.
std::string number_for(const Operation& operation, double value);
/// Whether `value`, rounded as number_for() does, is within the operation's limits.
bool takes(const Operation& operation, double value);
/// The longest that any of its queries works before it answers.
double longest_work_s(const Dialect& dialect);
/// "from 0 to 30", "at least 0", "at most 30". Precondition: it has a limit.
std::string limits_in_words(const Operation& operation);

/// A built-in dialect's name, or a path to a dialect file ({"schema": "sagbench/dialect/1", "name":
/// ..., then any of the keys above}; docs/schema/dialect.schema.json); a relative path is taken
/// from `folder`. Faults are `caller` errors in one line that names file, key, value and what is
/// accepted.
Result<Dialect> load_dialect(const std::string& name_or_path, const std::string& folder);
/// The text of a dialect file; `file` is for messages.
Result<Dialect> parse_dialect(const std::string& text, const std::string& file);
/// The text of a dialect file that parse_dialect() reads back as the same dialect.
std::string to_json(const Dialect& dialect);

}  // namespace sagbench::drivers
