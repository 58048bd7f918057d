#include "bench/files/sending_keys.hpp"

#include <fmt/format.h>

#include "bench/files/radio_file.hpp"
#include "bench/radio/morse.hpp"

namespace sagbench::bench {
namespace {

using analysis::Mode;

std::string read_text(ObjectReader& reader) {
  std::string text = reader.text("text");
  if (text.find_first_not_of(' ') == std::string::npos)
    reader.refuse("text", "a text of at least one sign");
  const std::string sign = sign_without_code(text);
  if (!sign.empty())
    reader.refuse("text",
                  fmt::format("letters, figures and . , : ? ' - / ( ) \" = + × @ % ‰ of the "
                              "Morse code; \"{}\" has none",
                              sign));
  return text;
}

void read_keying(ObjectReader& reader, Keying& keying) {
  if (reader.has("text")) keying.text = read_text(reader);
  keying.words_per_minute = reader.maybe_number("words_per_minute", {5.0, 60.0, "words a minute"})
                                .value_or(keying.words_per_minute);
  keying.weighting = reader.maybe_number("weighting", {0.3, 0.7, ""}).value_or(keying.weighting);
  keying.jitter = reader.maybe_number("jitter", {0.0, 0.3, ""}).value_or(keying.jitter);
}

}  // namespace

Sending sending_from(ObjectReader& reader) {
  Sending sending;
  sending.mode = static_cast<Mode>(reader.choice("mode", mode_words()));
  sending.transmit_share = reader.number("transmit_share", {0.0, 1.0, ""});
  const bool slots = sending.mode == Mode::ft8 || sending.mode == Mode::ft4;
  const bool voice = sending.mode == Mode::ssb || sending.mode == Mode::ssb_processed;
  const auto only_for = [&](bool has_use, std::string_view key, std::string_view modes) {
    if (!has_use && reader.has(key))
      reader.refuse(key, fmt::format("only {}, not {}, takes this key", modes,
                                     analysis::name_of(sending.mode)));
  };
  only_for(!slots, "rhythm", "a mode without fixed slots");
  for (const auto* key : {"text", "words_per_minute", "weighting", "jitter"})
    only_for(sending.mode == Mode::cw, key, "cw");
  only_for(voice, "voice_step_s", "ssb or ssb-processed");
  if (reader.has("rhythm"))
    sending.rhythm = static_cast<Rhythm>(reader.choice("rhythm", {"share", "qso", "contest"}));
  if (sending.mode == Mode::cw) read_keying(reader, sending.keying);
  sending.voice_step_s =
      reader.maybe_number("voice_step_s", {0.01, 0.2, "s"}).value_or(sending.voice_step_s);
  return sending;
}

}  // namespace sagbench::bench
