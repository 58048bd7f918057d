#include "reports/pack_words.hpp"

#include <nlohmann/json.hpp>

namespace sagbench::reports {
namespace {

using nlohmann::json;

/// Takes the texts that stand at the top of the object.
class WordReader final : public nlohmann::json_sax<json> {
 public:
  PackWords words;

  bool key(string_t& name) override {
    wanted_ = depth_ == 1 ? place_of(name) : nullptr;
    return true;
  }
  bool string(string_t& value) override {
    if (wanted_ != nullptr) *wanted_ = std::move(value);
    return other();
  }
  bool start_object(std::size_t) override { return deeper(); }
  bool start_array(std::size_t) override { return deeper(); }
  bool end_object() override { return higher(); }
  bool end_array() override { return higher(); }
  bool null() override { return other(); }
  bool boolean(bool) override { return other(); }
  bool number_integer(number_integer_t) override { return other(); }
  bool number_unsigned(number_unsigned_t) override { return other(); }
  bool number_float(number_float_t, const string_t&) override { return other(); }
  bool binary(binary_t&) override { return other(); }
  bool parse_error(std::size_t, const std::string&, const json::exception&) override {
    return false;
  }

 private:
  std::string* place_of(const std::string& name) {
    if (name == "serial") return &words.serial;
    if (name == "chemistry") return &words.chemistry;
    return name == "builder" ? &words.builder : nullptr;
  }
  bool other() {
    wanted_ = nullptr;
    return true;
  }
  bool deeper() {
    ++depth_;
    return other();
  }
  bool higher() {
    --depth_;
    return other();
  }

  int depth_ = 0;
  std::string* wanted_ = nullptr;  // where the next value goes
};

}  // namespace

PackWords pack_words(std::string_view pack_json) {
  WordReader reader;
  if (!json::sax_parse(pack_json.begin(), pack_json.end(), &reader)) return {};
  return std::move(reader.words);
}

}  // namespace sagbench::reports
