#pragma once
// A form being filled in: answers one by one, each held against the rules of the file.

#include <string>
#include <string_view>
#include <vector>

#include "bench/forms/form.hpp"

namespace sagbench::bench {

class Filling {
 public:
  /// `form` must outlive it.
  Filling(const Form& form, Place place);

  /// The next question for a person, in the form's order; null: no more.
  const Question* next() const;
  /// What Enter means: the usual value, if there is one.
  std::optional<Usual> usual_of(const Question& question) const;
  /// `words` as typed; empty: the usual value, else nothing; "-": nothing, where it may be left
  /// out. Throws InputError, and the question is as before.
  void answer(const Question& question, std::string_view words);
  /// All of "KEY=VALUE", in any order. Throws InputError: no such key, told twice, or a value that
  /// is refused.
  void tell(const std::vector<std::string>& all);

  /// The whole file, the rest with its usual values. Throws InputError where a required answer is
  /// missing or the whole does not fit.
  nlohmann::ordered_json file();

  struct Row {
    std::string key, value, why;  // why: empty where a person told it
  };
  /// What file() was made of, in the form's order.
  std::vector<Row> rows() const;
  /// Questions that have no answer in the file and could have.
  std::vector<const Question*> left_out() const;

 private:
  const Question& question_of(std::string_view key) const;
  bool applies(const Question& question) const;
  nlohmann::ordered_json made(const Answers& answers) const;
  Answers with_stand_ins(Answers answers) const;

  const Form& form_;
  Place place_;
  Answers answers_;
  std::map<std::string, std::string> why_;  // of usual values
  std::vector<std::string> seen_;           // keys of questions that need not be asked any more
};

}  // namespace sagbench::bench
