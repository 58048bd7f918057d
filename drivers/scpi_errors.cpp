#include "drivers/scpi_errors.hpp"

#include <array>
#include <charconv>
#include <cmath>

#include "drivers/scpi_response.hpp"

namespace sagbench::drivers {
namespace {

struct Event {
  unsigned bit;
  std::string_view words;
};
constexpr std::array<Event, 5> kEvents{{{2, "query error"},
                                        {3, "device-dependent error"},
                                        {4, "execution error"},
                                        {5, "command error"},
                                        {7, "power on"}}};
constexpr double kMostOfRegister = 255.0;

}  // namespace

std::optional<int> error_number(std::string_view entry) noexcept {
  if (!entry.empty() && entry.front() == '+') entry.remove_prefix(1);
  int number = 0;
  const char* const end = entry.data() + entry.size();
  const auto [rest, failure] = std::from_chars(entry.data(), end, number);
  if (failure != std::errc() || (rest != end && *rest != ',')) return std::nullopt;
  return number;
}

std::optional<std::string> events_in_words(std::string_view answer) {
  const Result<double> value = parse_number(answer);
  const bool is_register =
      value && *value >= 0.0 && *value <= kMostOfRegister && std::trunc(*value) == *value;
  if (!is_register) return std::nullopt;
  const auto bits = static_cast<unsigned>(*value);
  std::string words;
  for (const Event& event : kEvents) {
    if ((bits & (1U << event.bit)) == 0) continue;
    if (!words.empty()) words += ", ";
    words += event.words;
  }
  return words;
}

}  // namespace sagbench::drivers
