// Every fault in a user's file is one line that names file, key, value and what is accepted.

#include "bench/files/json_reader.hpp"

#include "catch.hpp"

using namespace sagbench::bench;

namespace {

std::string fault(const std::function<void()>& work) {
  try {
    work();
  } catch (const InputError& error) {
    const std::string message = error.what();
    CHECK(message.find('\n') == std::string::npos);
    CHECK(message.find("exception") == std::string::npos);
    return message;
  }
  return "no fault";
}

std::string reading(const std::string& text, const std::function<void(ObjectReader&)>& read) {
  return fault([&] {
    const auto json = parse_json(text, "file.json");
    ObjectReader reader(json, "file.json");
    read(reader);
    reader.finish();
  });
}

}  // namespace

TEST_CASE("bad JSON is placed by line and column") {
  CHECK(fault([] {
          parse_json("{\n  \"a\": 1,\n  \"b\" 2\n}", "f.json");
        }).rfind("f.json: not valid JSON near line 3, column", 0) == 0);
  CHECK(fault([] { parse_json("[1, 2]", "f.json"); }) ==
        "f.json: holds a list; a JSON object {...} is expected");
  CHECK(fault([] { parse_json("", "f.json"); }).find("line 1") != std::string::npos);
  CHECK(fault([] { parse_json("{\"a\": 1e999}", "f.json"); }).find("too large") !=
        std::string::npos);
  CHECK(fault([] { parse_json("{\"a\": 1, \"a\": 2}", "f.json"); }) ==
        "f.json: key \"a\" is given twice; give it once");
  CHECK(fault([] { parse_json("{\"x\": {\"a\": 1}, \"a\": 2}", "f.json"); }) == "no fault");
}

TEST_CASE("unknown keys are named, with a suggestion where one is near") {
  const auto read = [](ObjectReader& reader) {
    reader.maybe_number("rated_capacity_Ah", {0, 100, "Ah"});
  };
  const std::string message = reading("{\"rated_capacity_mAh\": 10000}", read);
  CHECK(message ==
        "file.json: unknown key \"rated_capacity_mAh\" (did you mean \"rated_capacity_Ah\"?); "
        "accepted here: rated_capacity_Ah");
  CHECK(reading("{\"colour\": 1}", read) ==
        "file.json: unknown key \"colour\"; accepted here: rated_capacity_Ah");
}

TEST_CASE("whatever the user's words hold, the message is one whole line") {
  const auto nothing = [](ObjectReader& reader) { reader.maybe_text("b"); };
  CHECK(reading("{\"a\\n\\u007f\": 1}", nothing) ==
        "file.json: unknown key \"a\\x0A\\x7F\"; accepted here: b");
  // 36 bytes and a character of two: cut before it, not within it.
  const std::string long_text = "\"" + std::string(35, 'x') + "°, and more than is shown\"";
  CHECK(reading("{\"b\": {\"c\": " + long_text + "}}", [](ObjectReader& reader) {
          reader.maybe_object("b")->number("c", {0, 1, ""});
        }).find("x...") != std::string::npos);
}

TEST_CASE("numbers: range, type and unit") {
  const auto read = [](ObjectReader& reader) { reader.number("mass_kg", {0, 100, "kg", true}); };
  CHECK(reading("{\"mass_kg\": 1.5}", read) == "no fault");
  CHECK(reading("{\"mass_kg\": 0}", read) ==
        "file.json: \"mass_kg\": 0 is not accepted; a number above 0 up to 100 kg");
  CHECK(reading("{\"mass_kg\": \"1.5 kg\"}", read) ==
        "file.json: \"mass_kg\": \"1.5 kg\" is not accepted; a number above 0 up to 100 kg, "
        "without quotes or unit");
  CHECK(reading("{}", read) ==
        "file.json: key \"mass_kg\" is missing; a number above 0 up to 100 kg");
  CHECK(reading("{\"mass_kg\": null}", read).find("null is not accepted") != std::string::npos);
}

TEST_CASE("whole numbers, flags, words, dates, lists") {
  const auto whole = [](ObjectReader& reader) { reader.whole("series", 1, 40); };
  CHECK(reading("{\"series\": 4}", whole) == "no fault");
  CHECK(reading("{\"series\": 4.5}", whole) ==
        "file.json: \"series\": 4.5 is not accepted; a whole number from 1 to 40");
  CHECK(reading("{\"series\": 99999999999}", whole).find("not accepted") != std::string::npos);
  CHECK(reading("{\"board\": 1}", [](ObjectReader& reader) { reader.maybe_flag("board"); }) ==
        "file.json: \"board\": 1 is not accepted; true or false");
  CHECK(reading("{\"class\": \"QRX\"}", [](ObjectReader& reader) {
          reader.choice("class", {"QRP", "QRO"});
        }) == "file.json: \"class\": \"QRX\" is not accepted; one of QRP, QRO");
  const auto date = [](ObjectReader& reader) { reader.maybe_date("built"); };
  CHECK(reading("{\"built\": \"2024-02-29\"}", date) == "no fault");
  CHECK(reading("{\"built\": \"2025-02-29\"}", date).find("a date like") != std::string::npos);
  CHECK(reading("{\"built\": \"1.5.2025\"}", date).find("a date like") != std::string::npos);
  CHECK(reading("{\"name\": \"a\\u0000b\"}", [](ObjectReader& reader) {
          reader.text("name");
        }).find("control characters") != std::string::npos);
  CHECK(reading("{\"list\": []}", [](ObjectReader& reader) {
          reader.numbers("list", {0, 1, "A"});
        }).find("at least one") != std::string::npos);
}
