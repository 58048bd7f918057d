#include "drivers/virtual/scpi_fault.hpp"

#include <algorithm>
#include <array>

namespace sagbench::drivers::virtual_bench {
namespace {

struct Text {
  int number;
  std::string_view text;
};

constexpr std::array kTexts = std::to_array<Text>({
    {0, "No error"},
    {fault::kInvalidCharacter, "Invalid character"},
    {fault::kSyntaxError, "Syntax error"},
    {fault::kDataTypeError, "Data type error"},
    {fault::kParameterNotAllowed, "Parameter not allowed"},
    {fault::kMissingParameter, "Missing parameter"},
    {fault::kUndefinedHeader, "Undefined header"},
    {fault::kHeaderSuffixOutOfRange, "Header suffix out of range"},
    {fault::kInvalidCharacterInNumber, "Invalid character in number"},
    {fault::kInvalidSuffix, "Invalid suffix"},
    {fault::kSuffixNotAllowed, "Suffix not allowed"},
    {fault::kExpressionError, "Expression error"},
    {fault::kTriggerIgnored, "Trigger ignored"},
    {fault::kInitIgnored, "Init ignored"},
    {fault::kSettingsConflict, "Settings conflict"},
    {fault::kDataOutOfRange, "Data out of range"},
    {fault::kTooMuchData, "Too much data"},
    {fault::kIllegalParameterValue, "Illegal parameter value"},
    {fault::kListsNotSameLength, "Lists not same length"},
    {fault::kHardwareMissing, "Hardware missing"},
    {fault::kQueueOverflow, "Queue overflow"},
    {fault::kInputBufferOverrun, "Input buffer overrun"},
    {fault::kOverCurrentTripped, "Over-current protection tripped"},
    {fault::kOverVoltageTripped, "Over-voltage protection tripped"},
    {fault::kOverPowerTripped, "Over-power protection tripped"},
    {fault::kLowVoltageStop, "Low-voltage stop"},
    {fault::kWatchdogExpired, "Watchdog expired: no message came"},
});

}  // namespace

std::string_view fault_text(int number) noexcept {
  const auto* const found = std::find_if(
      kTexts.begin(), kTexts.end(), [number](const Text& text) { return text.number == number; });
  return found == kTexts.end() ? "Device-specific error" : found->text;
}

}  // namespace sagbench::drivers::virtual_bench
