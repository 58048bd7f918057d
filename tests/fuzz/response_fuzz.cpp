// What an instrument answers: framing, elements, numbers.

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>

#include "drivers/scpi_errors.hpp"
#include "drivers/scpi_framing.hpp"
#include "drivers/scpi_response.hpp"
#include "promise.hpp"

namespace sagbench::fuzz {
namespace {

using namespace drivers;

bool lies_within(std::string_view part, std::string_view whole) {
  return part.data() >= whole.data() && part.data() + part.size() <= whole.data() + whole.size();
}

void check_element(const Element& element, std::string_view message) {
  promise(lies_within(element.written, message), "an element is part of the message");
  const bool is_finite =
      element.kind != ElementKind::infinity && element.kind != ElementKind::not_a_number;
  promise(std::isfinite(element.value) == is_finite, "only the special numbers are not finite");
  if (element.kind == ElementKind::text) {
    promise(text_of(element).size() <= element.written.size(), "a text does not grow");
  }
}

void check_response(std::string_view message) {
  const Result<Response> response = parse_response(message);
  if (!response) {
    promise_one_line(response.error().message);
    promise(!parse_numbers(message), "numbers are read from responses only");
    return;
  }
  std::size_t count = 0;
  for (const auto& unit : response->units) {
    promise(!unit.empty(), "no unit is empty");
    for (const Element& element : unit) check_element(element, message);
    count += unit.size();
  }
  promise(count <= kMostElements, "elements are bounded");
}

void check_numbers(std::string_view message) {
  const Result<std::vector<double>> numbers = parse_numbers(message);
  if (!numbers) promise_one_line(numbers.error().message);
  const Result<double> number = parse_number(message);
  if (!number) {
    promise_one_line(number.error().message);
    promise(!numbers || numbers->size() != 1, "one number is read alike, alone or in a list");
    return;
  }
  promise(std::isfinite(*number) && std::abs(*number) < 9.9e37, "a number is one");
  promise(numbers && numbers->size() == 1 && numbers->front() == *number, "and read alike");
}

void check_frames(std::string_view received, LineEnd line_end) {
  while (const auto frame = first_frame(received, line_end)) {
    promise(frame->begin <= frame->end && frame->end <= frame->next, "a frame is in order");
    promise(frame->next > 0 && frame->next <= received.size(), "a frame ends in what has come");
    const std::string_view message = received.substr(frame->begin, frame->end - frame->begin);
    check_response(message);
    if (const auto words = events_in_words(message)) promise(words->size() < 100, "few words");
    promise(!error_number(message) || !message.empty(), "an entry says something");
    received.remove_prefix(frame->next);
  }
}

}  // namespace
}  // namespace sagbench::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace sagbench;
  const std::string message(reinterpret_cast<const char*>(data), size);
  fuzz::check_response(message);
  fuzz::check_numbers(message);
  fuzz::check_frames(message, drivers::LineEnd::lf);
  fuzz::check_frames(message, drivers::LineEnd::cr);
  return 0;
}
