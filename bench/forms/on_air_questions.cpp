#include "bench/forms/on_air_questions.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "bench/files/radio_file.hpp"

namespace sagbench::bench {

std::vector<Question> on_air_questions(std::function<bool(const Answers&)> applies) {
  std::vector<Question> questions{
      {.key = "radio",
       .asks = "With which radio: its file",
       .usual = always("radio.json", "as sagbench new radio calls it")},
      {.key = "mode",
       .asks = fmt::format("Mode: {}", fmt::join(mode_words(), ", ")),
       .usual = always("ssb", "common practice, no source")},
      {.key = "transmit_share",
       .asks = "Share of the time that you transmit, 0 to 1",
       .kind = AnswerKind::number,
       .usual = always(0.33, "one of three: common practice, no source")},
  };
  for (Question& question : questions) {
    question.required = true;
    question.applies = applies;
  }
  return questions;
}

}  // namespace sagbench::bench
