#pragma once
// Parameters of a message unit: numbers, booleans, words, channel lists. All throw ScpiFault.

#include <string>
#include <string_view>
#include <vector>

namespace sagbench::drivers::virtual_bench {

/// A number in any form of IEEE 488.2 (1, 1.5, 15E-1, #HFF, #Q17, #B11). With a `unit` ("V", "A",
/// "OHM", "HZ", ...) that unit may follow, after a multiplier of IEEE 488.2 table 7-2: 12mV, 500
/// MA. M means mega for OHM and HZ, milli for all others; MA means mega unless the unit itself is
/// A. Without a unit any suffix is -138.
double parse_number(std::string_view text, std::string_view unit);

/// What a setting accepts, for MINimum, MAXimum and DEFault (SCPI-1999 Vol 1, 7.2.1) and for -222.
struct NumberLimits {
  double minimum;
  double maximum;
  double usual;  // DEFault
};
double parse_number(std::string_view text, std::string_view unit, const NumberLimits& limits);
/// True for MINimum, MAXimum or DEFault, whose value is then in `value`.
bool parse_limit_word(std::string_view text, const NumberLimits& limits, double& value);

/// ON, OFF, or a number: 0 after rounding is false (SCPI-1999 Vol 1, 7.3).
bool parse_boolean(std::string_view text);

/// Whether a word is the short or long form of `form`, printed as in manuals ("CURRent").
bool is_word(std::string_view text, std::string_view form);

/// One entry of a channel list; more than one number an end means dimensions ("2!5"). A single
/// channel has equal ends.
struct ChannelRange {
  std::vector<int> first;
  std::vector<int> last;
};
/// "(@1,2!5:3!6)" (SCPI-1999 Vol 1, 8.3.2).
std::vector<ChannelRange> parse_channel_ranges(std::string_view text);
/// The channels of a one-dimensional list in order: (@1,2,3:5) is 1 2 3 4 5. More than 1000 are
/// -223.
std::vector<int> parse_channels(std::string_view text);

/// A string as an instrument answers it: in quotes, quotes inside doubled.
std::string quoted(std::string_view text);

}  // namespace sagbench::drivers::virtual_bench
