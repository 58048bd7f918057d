#pragma once
// The keys of a dialect file: what each must hold and where it goes. Reader and writer share them.

#include <optional>
#include <span>
#include <string_view>
#include <variant>

#include "drivers/dialect.hpp"

namespace sagbench::drivers {

enum class OperationForm {
  setting,             // "INP ON"
  setting_of_number,   // "CURR {}"
  setting_of_numbers,  // "LIST:CURR {}"
  number_query,        // "MEAS:VOLT?"
  state_query,         // "INP?": on or off
  pair_query,          // "MEAS:CURR?;VOLT?": current and voltage
  entry_query,         // "SYST:ERR?": a number and a text
  channel_query,       // "MEAS:VOLT? (@{})": one channel, a number
  channels_query,      // the same of several channels, numbers
};

constexpr bool is_query(OperationForm form) noexcept {
  return form >= OperationForm::number_query;
}
constexpr bool has_gap(OperationForm form) noexcept {
  using enum OperationForm;
  return form == setting_of_number || form == setting_of_numbers || form == channel_query ||
         form == channels_query;
}
/// The word of the key "answer"; a state may also be a "text".
std::string_view answer_word(OperationForm form) noexcept;

template <class Owner>
struct OperationKey {
  using Place = std::variant<Operation Owner::*, std::optional<Operation> Owner::*>;
  std::string_view key;
  OperationForm form;
  Place place;

  bool required() const noexcept { return place.index() == 0; }
  /// Null where the owner has none.
  const Operation* find(const Owner& owner) const {
    if (const auto* always = std::get_if<0>(&place)) return &(owner.**always);
    const auto& maybe = owner.*std::get<1>(place);
    return maybe ? &*maybe : nullptr;
  }
};

std::span<const OperationKey<Dialect>> dialect_keys();
std::span<const OperationKey<CurrentList>> list_keys();

}  // namespace sagbench::drivers
