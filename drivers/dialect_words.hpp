#pragma once
// What the words of a dialect must look like.

#include <string>
#include <string_view>

#include "drivers/dialect_keys.hpp"

namespace sagbench::drivers {

/// Printable ASCII and tabs, not blank.
bool is_plain_text(std::string_view text) noexcept;
/// Whether `words` are one message of this form.
bool are_words(OperationForm form, std::string_view words) noexcept;
/// What are_words() accepts, for people.
std::string words_wanted(OperationForm form);
/// The same message, whatever the letters' case and the blanks around.
bool same_words(std::string_view a, std::string_view b) noexcept;
/// Whether one of the units of `message`, between ';', is `unit`.
bool holds_unit(std::string_view message, std::string_view unit) noexcept;

}  // namespace sagbench::drivers
