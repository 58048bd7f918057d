#pragma once
// What a probe tries: for each operation the forms in use, the most standard first. Data, so that
// one more form is one more line.

#include <optional>
#include <span>
#include <string_view>

#include "drivers/dialect.hpp"

namespace sagbench::drivers {

/// How one quantity may be set and asked for; "{}" stands for its value.
struct SettingForm {
  std::string_view query;
  std::string_view setting;
};

/// How something may be switched and asked for.
struct SwitchForm {
  std::string_view query;
  std::string_view on;
  std::string_view off;
};

/// A quantity that a load may have a limit or a setting for, and where it goes in a dialect.
struct ProbedSetting {
  std::string_view what;  // for people
  std::optional<Operation> Dialect::*setting;
  std::optional<Operation> Dialect::*query;
  std::span<const SettingForm> forms;
  /// A run may be left alone with it: it counts only where it can be read back.
  bool replaces_a_person = false;
};

/// A reading, and where it goes.
struct ProbedReading {
  std::string_view what;
  Operation Dialect::*query;
  std::span<const std::string_view> forms;
};

/// Asks for errors. The last, the event register of IEEE 488.2, 11.5.1, tells only that there was
/// one.
std::span<const std::string_view> error_query_forms();
/// No instrument knows it: whoever reports errors must report this one.
inline constexpr std::string_view kNonsense = "SAGB:NONS";

std::span<const SwitchForm> input_forms();
/// Words for "OUTPut" are those of power supplies as well.
bool is_output_form(const SwitchForm& form) noexcept;
std::span<const SwitchForm> remote_sense_forms();
std::span<const SettingForm> mode_forms();
std::span<const SettingForm> current_forms();
/// A mode in which a load draws a constant current.
bool is_current_mode(std::string_view mode) noexcept;
/// What a power supply is set to, and a load in constant-current mode is not.
inline constexpr std::string_view kVoltageSetpoint = "VOLT?";

std::span<const ProbedSetting> limits_of_a_load();
const ProbedSetting& integration_of_a_meter();
std::span<const ProbedReading> readings_of_a_load();
std::span<const std::string_view> voltage_forms();
std::span<const std::string_view> tripped_forms();
/// Current, then voltage.
std::span<const std::string_view> pair_forms();

/// Scanner channels in use, one of which may exist.
std::span<const int> channels_to_try();

}  // namespace sagbench::drivers
