#include "bench/forms/filling.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <charconv>
#include <sstream>
#include <utility>

#include "bench/files/input_error.hpp"
#include "bench/text/lower_case.hpp"

namespace sagbench::bench {
namespace {

using nlohmann::json;
using nlohmann::ordered_json;

std::string_view without_blanks(std::string_view words) {
  const auto first = words.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos) return {};
  return words.substr(first, words.find_last_not_of(" \t\r\n") - first + 1);
}

template <class Number>
std::optional<Number> number_in(std::string_view words) {
  Number value{};
  const auto [end, fault] = std::from_chars(words.data(), words.data() + words.size(), value);
  if (fault != std::errc{} || end != words.data() + words.size()) return std::nullopt;
  return value;
}

json number_from(std::string_view words) {
  if (const auto whole = number_in<long long>(words)) return *whole;
  if (const auto value = number_in<double>(words)) return *value;
  return std::string(words);
}

json wholes_from(std::string_view words) {
  std::string list(words);
  std::ranges::replace(list, ',', ' ');
  std::istringstream numbers(list);
  json all = json::array();
  for (std::string one; numbers >> one;) all.push_back(number_from(one));
  return all;
}

json flag_from(std::string_view words) {
  const std::string small = lower(words);
  if (small == "yes" || small == "y" || small == "true") return true;
  if (small == "no" || small == "n" || small == "false") return false;
  return std::string(words);
}

json value_from(AnswerKind kind, std::string_view words) {
  switch (kind) {
    case AnswerKind::text:
      break;
    case AnswerKind::number:
      return number_from(words);
    case AnswerKind::wholes:
      return wholes_from(words);
    case AnswerKind::flag:
      return flag_from(words);
  }
  return std::string(words);
}

/// 10, not 10.0.
json plain(const json& value) {
  if (!value.is_number_float()) return value;
  const double number = value.get<double>();
  const auto whole = static_cast<long long>(number);
  return static_cast<double>(whole) == number ? json(whole) : value;
}

void put(ordered_json& file, const std::string& key, const json& value) {
  ordered_json* at = &file;
  std::size_t from = 0;
  for (auto dot = key.find('.'); dot != std::string::npos; dot = key.find('.', from)) {
    at = &(*at)[key.substr(from, dot - from)];
    from = dot + 1;
  }
  (*at)[key.substr(from)] = value;
}

std::string shown(const json& value) {
  return value.is_string() ? value.get<std::string>() : value.dump();
}

}  // namespace

Filling::Filling(const Form& form, Place place) : form_(form), place_(std::move(place)) {}

bool Filling::applies(const Question& question) const {
  return !question.applies || question.applies(answers_);
}

const Question* Filling::next() const {
  for (const Question& question : form_.questions)
    if (question.asked && std::ranges::find(seen_, question.key) == seen_.end() &&
        applies(question))
      return &question;
  return nullptr;
}

std::optional<Usual> Filling::usual_of(const Question& question) const {
  return question.usual ? question.usual(answers_) : std::nullopt;
}

ordered_json Filling::made(const Answers& answers) const {
  if (form_.made) return form_.made(answers, place_);
  ordered_json file{{"schema", fmt::format("sagbench/{}/1", form_.kind)}};
  for (const Question& question : form_.questions)
    if (const auto found = answers.find(question.key); found != answers.end())
      put(file, question.key, found->second);
  return file;
}

/// So that one answer can be held against the rules before the others are there.
Answers Filling::with_stand_ins(Answers answers) const {
  for (const Question& question : form_.questions) {
    if (!question.required || answers.contains(question.key)) continue;
    if (question.applies && !question.applies(answers)) continue;
    const auto usual = question.usual ? question.usual(answers) : std::nullopt;
    answers[question.key] = usual ? usual->value : question.example;
  }
  return answers;
}

void Filling::answer(const Question& question, std::string_view words) {
  words = without_blanks(words);
  Answers after = answers_;
  const auto usual = words.empty() ? usual_of(question) : std::nullopt;
  const bool nothing = (words.empty() && !usual) || words == "-";
  if (nothing && question.required)
    throw InputError(fmt::format("{}: \"{}\": an answer is needed", place_.path, question.key));
  if (!nothing) {
    after[question.key] = usual ? plain(usual->value) : value_from(question.kind, words);
    form_.check(json(made(with_stand_ins(after))), place_);
  }
  answers_ = std::move(after);
  if (usual) why_[question.key] = usual->why;
  seen_.push_back(question.key);
}

const Question& Filling::question_of(std::string_view key) const {
  const auto found = std::ranges::find(form_.questions, key, &Question::key);
  if (found != form_.questions.end()) return *found;
  std::vector<std::string_view> keys;
  for (const Question& question : form_.questions) keys.push_back(question.key);
  throw InputError(fmt::format("\"{}\" is no key of a new {} file; one of {}", key, form_.kind,
                               fmt::join(keys, ", ")));
}

/// In the form's order: what is accepted for one may hang on those before it.
void Filling::tell(const std::vector<std::string>& all) {
  std::map<const Question*, std::string> told;
  for (const std::string& words : all) {
    const auto equals = words.find('=');
    if (equals == std::string::npos)
      throw InputError(fmt::format("\"{}\": KEY=VALUE is expected, such as name=Hilltop", words));
    const Question& question = question_of(std::string_view(words).substr(0, equals));
    if (!told.emplace(&question, words.substr(equals + 1)).second)
      throw InputError(fmt::format("\"{}\" is told twice; tell it once", question.key));
  }
  for (const Question& question : form_.questions)
    if (const auto found = told.find(&question); found != told.end())
      answer(question, without_blanks(found->second).empty() ? "-" : found->second);
}

ordered_json Filling::file() {
  for (const Question& question : form_.questions) {
    if (std::ranges::find(seen_, question.key) != seen_.end() || !applies(question)) continue;
    if (question.required && !usual_of(question))
      throw InputError(fmt::format("{}: \"{}\" is missing: {}; tell it as {}=...", place_.path,
                                   question.key, question.asks, question.key));
    answer(question, "");
  }
  ordered_json whole = made(answers_);
  form_.check(json(whole), place_);
  return whole;
}

std::vector<Filling::Row> Filling::rows() const {
  std::vector<Row> rows;
  for (const Question& question : form_.questions) {
    const auto found = answers_.find(question.key);
    if (found == answers_.end()) continue;
    const auto why = why_.find(question.key);
    rows.push_back({question.key, shown(found->second), why == why_.end() ? "" : why->second});
  }
  return rows;
}

std::vector<const Question*> Filling::left_out() const {
  std::vector<const Question*> all;
  for (const Question& question : form_.questions)
    if (!answers_.contains(question.key) && applies(question)) all.push_back(&question);
  return all;
}

}  // namespace sagbench::bench
