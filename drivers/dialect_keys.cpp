#include "drivers/dialect_keys.hpp"

namespace sagbench::drivers {

using enum OperationForm;

std::string_view answer_word(OperationForm form) noexcept {
  switch (form) {
    case setting:
    case setting_of_number:
    case setting_of_numbers:
      return {};
    case number_query:
    case channel_query:
      return "number";
    case pair_query:
    case channels_query:
      return "numbers";
    case state_query:
      return "boolean";
    case entry_query:
      return "text";
  }
  return {};
}

std::span<const OperationKey<Dialect>> dialect_keys() {
  static const OperationKey<Dialect> keys[] = {
      {"error_query", entry_query, &Dialect::error_query},
      {"clear", setting, &Dialect::clear},
      {"operation_complete", number_query, &Dialect::operation_complete},
      {"current_mode", setting, &Dialect::current_mode},
      {"set_current", setting_of_number, &Dialect::set_current},
      {"input_on", setting, &Dialect::input_on},
      {"input_off", setting, &Dialect::input_off},
      {"input_query", state_query, &Dialect::input_query},
      {"measure_voltage", number_query, &Dialect::measure_voltage},
      {"measure_current", number_query, &Dialect::measure_current},
      {"measure_both", pair_query, &Dialect::measure_both},
      {"remote_sense_on", setting, &Dialect::remote_sense_on},
      {"remote_sense_off", setting, &Dialect::remote_sense_off},
      {"remote_sense_query", state_query, &Dialect::remote_sense_query},
      {"current_protection", setting_of_number, &Dialect::current_protection},
      {"current_protection_query", number_query, &Dialect::current_protection_query},
      {"power_protection", setting_of_number, &Dialect::power_protection},
      {"power_protection_query", number_query, &Dialect::power_protection_query},
      {"low_voltage_stop", setting_of_number, &Dialect::low_voltage_stop},
      {"low_voltage_stop_query", number_query, &Dialect::low_voltage_stop_query},
      {"watchdog", setting_of_number, &Dialect::watchdog},
      {"watchdog_query", number_query, &Dialect::watchdog_query},
      {"protection_tripped_query", state_query, &Dialect::protection_tripped_query},
      {"measure_voltage_channel", channel_query, &Dialect::measure_voltage_channel},
      {"measure_temperature_channel", channel_query, &Dialect::measure_temperature_channel},
      {"scan_voltages", channels_query, &Dialect::scan_voltages},
      {"integration_cycles", setting_of_number, &Dialect::integration_cycles},
      {"integration_cycles_query", number_query, &Dialect::integration_cycles_query},
  };
  return keys;
}

std::span<const OperationKey<CurrentList>> list_keys() {
  static const OperationKey<CurrentList> keys[] = {
      {"currents", setting_of_numbers, &CurrentList::currents},
      {"dwells", setting_of_numbers, &CurrentList::dwells},
      {"count", setting_of_number, &CurrentList::count},
      {"enter_mode", setting, &CurrentList::enter_mode},
      {"leave_mode", setting, &CurrentList::leave_mode},
      {"trigger", setting, &CurrentList::trigger},
  };
  return keys;
}

}  // namespace sagbench::drivers
