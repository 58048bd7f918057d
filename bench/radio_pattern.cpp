#include "bench/radio_pattern.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <map>
#include <string_view>

namespace sagbench::bench {
namespace {

using analysis::Mode;

constexpr double kWordsAMinute = 12.0;
constexpr double kCycle_s = 60.0;  // one over and one listening period (common practice, no source)
constexpr double kSpeechShare =
    0.75;  // of an over's time; the rest is pauses between words (our own choice)
constexpr double kShortestSyllable_s = 0.15;
constexpr double kLongestSyllable_s = 0.30;
constexpr double kShortest_s = 1e-6;
constexpr const char* kText = "CQ CQ DE QX5HILL QX5HILL K ";

const std::map<char, std::string_view>& code() {
  static const std::map<char, std::string_view> table = {
      {'A', ".-"},    {'B', "-..."},  {'C', "-.-."},   {'D', "-.."},   {'E', "."},
      {'F', "..-."},  {'G', "--."},   {'H', "...."},   {'I', ".."},    {'J', ".---"},
      {'K', "-.-"},   {'L', ".-.."},  {'M', "--"},     {'N', "-."},    {'O', "---"},
      {'P', ".--."},  {'Q', "--.-"},  {'R', ".-."},    {'S', "..."},   {'T', "-"},
      {'U', "..-"},   {'V', "...-"},  {'W', ".--"},    {'X', "-..-"},  {'Y', "-.--"},
      {'Z', "--.."},  {'0', "-----"}, {'1', ".----"},  {'2', "..---"}, {'3', "...--"},
      {'4', "....-"}, {'5', "....."}, {'6', "-...."},  {'7', "--..."}, {'8', "---.."},
      {'9', "----."}, {'/', "-..-."}, {'?', "..--.."}, {'=', "-...-"}};
  return table;
}

struct Slot {
  double length_s;
  double on_air_s;
};

Slot slot_of(Mode mode) {
  return mode == Mode::ft8 ? Slot{15.0, 12.64} : Slot{7.5, 5.04};
}

}  // namespace

std::vector<Segment> key_text(const std::string& text, double words_a_minute) {
  const double unit_s = 1.2 / words_a_minute;
  std::vector<Segment> keyed;
  for (const char sign : text) {
    const auto found =
        code().find(static_cast<char>(std::toupper(static_cast<unsigned char>(sign))));
    if (sign == ' ' && !keyed.empty()) keyed.back().seconds = 7 * unit_s;
    if (found == code().end()) continue;
    for (const char element : found->second) {
      keyed.push_back({(element == '-' ? 3 : 1) * unit_s, true, 1.0});
      keyed.push_back({unit_s, true, 0.0});
    }
    keyed.back().seconds = 3 * unit_s;
  }
  return keyed;
}

RadioPattern::RadioPattern(const Sending& sending, std::uint64_t seed)
    : mode_(sending.mode), share_(std::clamp(sending.transmit_share, 0.0, 1.0)), random_(seed) {
  if (mode_ == Mode::cw) text_ = key_text(kText, kWordsAMinute);
}

double RadioPattern::uniform() noexcept {
  return static_cast<double>(random_() >> 11U) * 0x1.0p-53;
}

Segment RadioPattern::next() {
  return mode_ == Mode::ft8 || mode_ == Mode::ft4 ? next_of_slot() : next_of_over();
}

Segment RadioPattern::next_of_slot() {
  const Slot slot = slot_of(mode_);
  if (receive_next_) {
    receive_next_ = false;
    return {slot.length_s - slot.on_air_s, false, 0.0};
  }
  slots_owed_ += share_;
  if (slots_owed_ < 1.0 - 1e-9) return {slot.length_s, false, 0.0};
  slots_owed_ -= 1.0;
  receive_next_ = true;
  return {slot.on_air_s, true, 1.0};
}

Segment RadioPattern::keyed() {
  const Segment segment = text_[text_place_];
  text_place_ = (text_place_ + 1) % text_.size();
  return segment;
}

/// Level u^p of a uniform u has the mean 1 / (p + 1); p is set so that speech and pauses together
/// have the mode's duty.
Segment RadioPattern::syllable() {
  const double seconds =
      kShortestSyllable_s + (kLongestSyllable_s - kShortestSyllable_s) * uniform();
  if (uniform() > kSpeechShare) return {seconds, true, 0.0};
  const double mean_level = analysis::duty_factor(mode_) / kSpeechShare;
  return {seconds, true, std::pow(uniform(), 1.0 / mean_level - 1.0)};
}

Segment RadioPattern::next_of_over() {
  if (share_ <= 0.0) return {kCycle_s, false, 0.0};
  if (over_left_s_ < kShortest_s) {
    const bool receive = receive_next_ && share_ < 1.0;
    receive_next_ = false;
    if (receive) return {(1.0 - share_) * kCycle_s, false, 0.0};
    over_left_s_ = share_ * kCycle_s;
  }
  Segment segment = mode_ == Mode::cw                                    ? keyed()
                    : mode_ == Mode::ssb || mode_ == Mode::ssb_processed ? syllable()
                                                                         : Segment{1.0, true, 1.0};
  segment.seconds = std::min(segment.seconds, over_left_s_);
  over_left_s_ -= segment.seconds;
  receive_next_ = over_left_s_ < kShortest_s;
  return segment;
}

}  // namespace sagbench::bench
