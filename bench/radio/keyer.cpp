#include "bench/radio/keyer.hpp"

namespace sagbench::bench {
namespace {

constexpr std::uint64_t kStream = 102;

// Without a text: the standard word, as typical of plain language as its 22 of 50 units are, and
// behind it 5 units more than a word's gap. An operator pauses to think; how long is our own
// choice, such that 22 of 55 units are the published 40 %.
constexpr const char* kStandardWord = "PARIS";
constexpr int kThinking_units = 5;

std::vector<Element> keyed_elements(const Keying& keying) {
  if (!keying.text.empty()) return elements_of(keying.text);
  std::vector<Element> elements = elements_of(kStandardWord);
  elements.back().units += kThinking_units;
  return elements;
}

double weighted_units(const Element& element, double weighting) {
  const double heavier = 2.0 * weighting - 1.0;
  return element.units + (element.key_down ? heavier : -heavier);
}

}  // namespace

Keyer::Keyer(const Keying& keying, std::uint64_t seed)
    : keying_(keying), elements_(keyed_elements(keying)), random_(seed, kStream) {}

Segment Keyer::next() {
  const Element& element = elements_[place_];
  place_ = (place_ + 1) % elements_.size();
  between_signs_ = element.ends_sign;
  const double unit_s = 1.2 / keying_.words_per_minute;
  const double shaken = 1.0 + keying_.jitter * random_.uniform(-1.0, 1.0);
  return {weighted_units(element, keying_.weighting) * unit_s * shaken, true,
          element.key_down ? 1.0 : 0.0};
}

double key_down_share(const Keying& keying) {
  double down = 0.0, all = 0.0;
  for (const Element& element : keyed_elements(keying)) {
    const double units = weighted_units(element, keying.weighting);
    all += units;
    if (element.key_down) down += units;
  }
  return down / all;
}

}  // namespace sagbench::bench
