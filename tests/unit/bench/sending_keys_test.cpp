#include "bench/files/sending_keys.hpp"

#include <string>

#include "bench/files/input_error.hpp"
#include "catch.hpp"

namespace sagbench::bench {
namespace {

using nlohmann::json;

Sending read(const json& keys) {
  ObjectReader reader(keys, "plan.json", "steps[0]");
  const Sending sending = sending_from(reader);
  reader.finish();
  return sending;
}

std::string fault(json keys, const json& more) {
  keys.update(more);
  try {
    read(keys);
  } catch (const InputError& error) {
    return error.what();
  }
  return "no fault";
}

const json kCw = {{"mode", "cw"}, {"transmit_share", 0.5}};
const json kSsb = {{"mode", "ssb"}, {"transmit_share", 0.5}};

}  // namespace

TEST_CASE("mode and share are enough") {
  const Sending sending = read(kCw);
  CHECK(sending.mode == analysis::Mode::cw);
  CHECK(sending.transmit_share == 0.5);
  CHECK(sending.rhythm == Rhythm::share);
  CHECK(sending.keying.text.empty());
  CHECK(sending.keying.words_per_minute == 12.0);
  CHECK(sending.keying.weighting == 0.5);
  CHECK(sending.keying.jitter == 0.0);
}

TEST_CASE("all keys of a keyed and of a spoken step") {
  json keyed = kCw;
  keyed.update({{"text", "CQ (TEST)"},
                {"words_per_minute", 25},
                {"weighting", 0.55},
                {"jitter", 0.1},
                {"rhythm", "contest"}});
  const Sending cw = read(keyed);
  CHECK(cw.keying.text == "CQ (TEST)");
  CHECK(cw.keying.words_per_minute == 25.0);
  CHECK(cw.keying.weighting == 0.55);
  CHECK(cw.keying.jitter == 0.1);
  CHECK(cw.rhythm == Rhythm::contest);
  json spoken = kSsb;
  spoken.update({{"rhythm", "qso"}, {"voice_step_s", 0.1}});
  const Sending ssb = read(spoken);
  CHECK(ssb.rhythm == Rhythm::qso);
  CHECK(ssb.voice_step_s == 0.1);
}

TEST_CASE("a text with a sign that has no code is refused, and the sign is named") {
  CHECK(fault(kCw, {{"text", "CQ #7"}}) ==
        "plan.json: \"steps[0].text\": \"CQ #7\" is not accepted; letters, figures and . , : ? ' - "
        "/ ( ) \" = + × @ % ‰ of the Morse code; \"#\" has none");
  CHECK(fault(kCw, {{"text", "5 €"}}).find("\"€\" has none") != std::string::npos);
  CHECK(fault(kCw, {{"text", "  "}}).find("at least one sign") != std::string::npos);
  CHECK(fault(kCw, {{"text", ""}}).find("not empty") != std::string::npos);
}

TEST_CASE("keys that the mode has no use for are refused") {
  CHECK(fault(kSsb, {{"text", "CQ"}}) ==
        "plan.json: \"steps[0].text\": \"CQ\" is not accepted; only cw, not ssb, takes this key");
  for (const auto* key : {"words_per_minute", "weighting", "jitter"})
    CHECK(fault(kSsb, {{key, 0.5}}).find("only cw, not ssb") != std::string::npos);
  CHECK(fault(kCw, {{"voice_step_s", 0.05}}).find("only ssb or ssb-processed, not cw") !=
        std::string::npos);
  CHECK(fault({{"mode", "ft8"}, {"transmit_share", 0.5}}, {{"rhythm", "qso"}})
            .find("only a mode without fixed slots, not ft8") != std::string::npos);
}

TEST_CASE("numbers and words out of bounds are refused") {
  CHECK(fault(kCw, {{"transmit_share", 1.01}}).find("1.01") != std::string::npos);
  CHECK(fault(kCw, {{"transmit_share", -0.1}}).find("-0.1") != std::string::npos);
  CHECK(fault(kCw, {{"words_per_minute", 4}}).find("from 5 up to 60") != std::string::npos);
  CHECK(fault(kCw, {{"words_per_minute", 61}}).find("from 5 up to 60") != std::string::npos);
  CHECK(fault(kCw, {{"weighting", 0.8}}).find("from 0.3 up to 0.7") != std::string::npos);
  CHECK(fault(kCw, {{"jitter", 0.4}}).find("from 0 up to 0.3") != std::string::npos);
  CHECK(fault(kSsb, {{"voice_step_s", 0.5}}).find("from 0.01 up to 0.2") != std::string::npos);
  CHECK(fault(kSsb, {{"rhythm", "waltz"}}).find("one of share, qso, contest") != std::string::npos);
}

TEST_CASE("the mean level is the text's in CW and the published one elsewhere") {
  CHECK(mean_level(read(kCw)) == Approx(0.40));
  json paris = kCw;
  paris["text"] = "PARIS";
  CHECK(mean_level(read(paris)) == Approx(0.44));
  CHECK(mean_level(read(kSsb)) == Approx(0.20));
}

}  // namespace sagbench::bench
