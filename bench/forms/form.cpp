#include "bench/forms/form.hpp"

#include <algorithm>
#include <utility>

namespace sagbench::bench {
namespace {

constexpr Form (*kForms[])() = {pack_form, bench_form, radio_form, operation_form, plan_form};

}  // namespace

std::string text_of(const Answers& answers, const std::string& key) {
  const auto found = answers.find(key);
  return found != answers.end() && found->second.is_string() ? found->second.get<std::string>()
                                                             : "";
}

std::optional<double> number_of(const Answers& answers, const std::string& key) {
  const auto found = answers.find(key);
  if (found == answers.end() || !found->second.is_number()) return std::nullopt;
  return found->second.get<double>();
}

UsualOf always(nlohmann::json value, std::string why) {
  return [usual = Usual{std::move(value), std::move(why)}](const Answers&) { return usual; };
}

const std::vector<std::string>& form_kinds() {
  static const std::vector<std::string> kinds{"pack", "bench", "radio", "operation", "plan"};
  return kinds;
}

Form form_of(std::string_view kind) {
  const auto at = std::ranges::find(form_kinds(), kind) - form_kinds().begin();
  return kForms[at]();
}

}  // namespace sagbench::bench
