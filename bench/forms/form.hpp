#pragma once
// What `sagbench new` asks for a file, and what it knows of the answers.

#include <functional>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace sagbench::bench {

/// How the words of an answer become a value of the file. What does not look like one stays text,
/// for the file's own reader to refuse by key and with what it accepts.
enum class AnswerKind { text, number, wholes, flag };

/// By the question's key.
using Answers = std::map<std::string, nlohmann::json>;
std::string text_of(const Answers& answers, const std::string& key);  // "": none
std::optional<double> number_of(const Answers& answers, const std::string& key);

/// A value that nobody told, and why it is a good one: by which table, or "common practice, no
/// source".
struct Usual {
  nlohmann::json value;
  std::string why;
};

/// From the answers before it; none: there is no usual value.
using UsualOf = std::function<std::optional<Usual>(const Answers&)>;
/// The same one whatever was answered.
UsualOf always(nlohmann::json value, std::string why);

struct Question {
  std::string key;   // as in the file; dots lead into objects
  std::string asks;  // for people, with the unit
  AnswerKind kind = AnswerKind::text;
  bool required = false;
  bool asked = true;         // false: only by KEY=VALUE
  nlohmann::json example{};  // stands in for a required answer while others are checked
  UsualOf usual{};           // empty: there is no usual value
  /// Whether it makes sense after the answers before it; empty: always.
  std::function<bool(const Answers&)> applies{};
};

/// Where the file will be, for messages and for the paths in it.
struct Place {
  std::string path;
  std::string folder;
};

struct Form {
  std::string kind;
  std::vector<Question> questions;
  std::string next;  // what to do with the file, for people
  /// Throws InputError as whoever reads the file later.
  std::function<void(const nlohmann::json& file, const Place& place)> check;
  /// The file from the answers; empty: each answer is at its key.
  std::function<nlohmann::ordered_json(const Answers&, const Place&)> made{};
};

Form pack_form();
Form bench_form();
Form radio_form();
Form operation_form();
Form plan_form();

/// What such files are called: "pack", "bench", "radio", "operation", "plan".
const std::vector<std::string>& form_kinds();
/// Precondition: one of these.
Form form_of(std::string_view kind);

}  // namespace sagbench::bench
