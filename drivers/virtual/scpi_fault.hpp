#pragma once
// Errors as SCPI-1999 Vol 2 ch. 21.8 numbers them.

#include <string_view>

namespace sagbench::drivers::virtual_bench {

/// Thrown while a message unit is taken apart or carried out; caught by the instrument, which
/// queues it.
struct ScpiFault {
  int number;
};

namespace fault {
inline constexpr int kInvalidCharacter = -101;
inline constexpr int kSyntaxError = -102;
inline constexpr int kDataTypeError = -104;
inline constexpr int kParameterNotAllowed = -108;
inline constexpr int kMissingParameter = -109;
inline constexpr int kUndefinedHeader = -113;
inline constexpr int kHeaderSuffixOutOfRange = -114;
inline constexpr int kInvalidCharacterInNumber = -121;
inline constexpr int kInvalidSuffix = -131;
inline constexpr int kSuffixNotAllowed = -138;
inline constexpr int kExpressionError = -170;
inline constexpr int kTriggerIgnored = -211;
inline constexpr int kInitIgnored = -213;
inline constexpr int kSettingsConflict = -221;
inline constexpr int kDataOutOfRange = -222;
inline constexpr int kTooMuchData = -223;
inline constexpr int kIllegalParameterValue = -224;
inline constexpr int kListsNotSameLength = -226;
inline constexpr int kHardwareMissing = -241;
inline constexpr int kQueueOverflow = -350;
inline constexpr int kInputBufferOverrun = -363;
// Positive numbers are the device's own.
inline constexpr int kOverCurrentTripped = 101;
inline constexpr int kOverVoltageTripped = 102;
inline constexpr int kOverPowerTripped = 103;
inline constexpr int kLowVoltageStop = 104;
inline constexpr int kWatchdogExpired = 105;
}  // namespace fault

/// The standard's text; for the device's own numbers ours.
std::string_view fault_text(int number) noexcept;

}  // namespace sagbench::drivers::virtual_bench
