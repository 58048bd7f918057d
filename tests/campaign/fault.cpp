#include "fault.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <stdexcept>

#include "words.hpp"

namespace sagbench::campaign {
namespace {

constexpr std::array<std::string_view, kFaultKinds> kNames = {"silence",
                                                              "delay",
                                                              "truncate",
                                                              "corrupt",
                                                              "duplicate",
                                                              "stale",
                                                              "echo",
                                                              "gone",
                                                              "power_cycle",
                                                              "stuck",
                                                              "frozen",
                                                              "noisy",
                                                              "sense_off",
                                                              "cell_wire_off",
                                                              "thermistor_open",
                                                              "thermistor_short",
                                                              "contact",
                                                              "board_trip",
                                                              "weak_cell",
                                                              "clock_step",
                                                              "suspend",
                                                              "disk_full",
                                                              "archive_busy",
                                                              "crash",
                                                              "operator_stop"};

constexpr std::string_view kBetween = "; ";
constexpr std::string_view kNone = "none";

Line line_from(const std::string& name) {
  for (const Line line : {Line::load, Line::meter})
    if (name == name_of(line)) return line;
  throw std::invalid_argument(fmt::format("line={}: load or meter is accepted", name));
}

FaultKind kind_from(const std::string& name) {
  const auto found = std::find(kNames.begin(), kNames.end(), name);
  if (found == kNames.end()) throw std::invalid_argument(fmt::format("no fault \"{}\"", name));
  return static_cast<FaultKind>(found - kNames.begin());
}

}  // namespace

std::string_view name_of(FaultKind kind) noexcept {
  return kNames[static_cast<std::size_t>(kind)];
}

std::string_view name_of(Line line) noexcept {
  return line == Line::load ? "load" : "meter";
}

std::string text_of(const Fault& fault) {
  std::string text = fmt::format("{} line={}", name_of(fault.kind), name_of(fault.line));
  if (fault.message)
    text += fmt::format(" n={}", *fault.message);
  else
    text += " at=" + number_text(fault.at_s);
  if (fault.for_s != 0.0) text += " for=" + number_text(fault.for_s);
  if (fault.value != 0.0) text += " value=" + number_text(fault.value);
  if (fault.which != 0) text += fmt::format(" which={}", fault.which);
  return text;
}

std::string text_of(const std::vector<Fault>& faults) {
  std::string text;
  for (const Fault& fault : faults) {
    if (!text.empty()) text += kBetween;
    text += text_of(fault);
  }
  return text.empty() ? std::string(kNone) : text;
}

Fault fault_from(std::string_view text) {
  const Words words(text);
  Fault fault;
  fault.kind = kind_from(words.first());
  fault.line = line_from(words.text("line", "load"));
  if (words.has("n")) fault.message = static_cast<int>(words.number("n", 1.0));
  fault.at_s = words.number("at", 0.0);
  fault.for_s = words.number("for", 0.0);
  fault.value = words.number("value", 0.0);
  fault.which = static_cast<int>(words.number("which", 0.0));
  words.finish();
  return fault;
}

std::vector<Fault> faults_from(std::string_view text) {
  std::vector<Fault> faults;
  if (text == kNone) return faults;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(kBetween), text.size());
    faults.push_back(fault_from(text.substr(0, end)));
    text.remove_prefix(std::min(end + kBetween.size(), text.size()));
  }
  return faults;
}

}  // namespace sagbench::campaign
