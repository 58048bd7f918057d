#pragma once
// What an operation and a plan both want to know of the time on the air.

#include "bench/forms/form.hpp"

namespace sagbench::bench {

/// Radio, mode and share of transmission. `applies` empty: always asked.
std::vector<Question> on_air_questions(std::function<bool(const Answers&)> applies = {});

}  // namespace sagbench::bench
