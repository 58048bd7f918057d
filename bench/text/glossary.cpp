#include "bench/text/glossary.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "bench/text/lower_case.hpp"
#include "bench/text/text_line.hpp"

namespace sagbench::bench {
namespace {

const std::vector<Term>& all_terms() {
  static const std::vector<Term> terms = {
      {"ageing",
       {"trend", "worn"},
       "What a pack loses over its tests. The trend is a straight line through three tests or more "
       "that are alike; it is carried on by half of the time that the tests span and no further. A "
       "pack is called worn at 80 % of its rated capacity: the replacement criterion of IEEE 450 "
       "and IEEE 1188 for lead-acid, common practice without a source for others."},
      {"alike",
       {"like with like"},
       "Runs whose figures may be compared: near each other in temperature, rate, end voltage and "
       "whatever else the figure depends on. Others stand in a group of their own."},
      {"asked against delivered",
       {"pattern", "on the air"},
       "The currents that the plan's transmit pattern wanted, beside those that the load drew, and "
       "how late its steps came. Where the two part, the run was easier or harder than the radio."},
      {"capability",
       {"capability map", "capability for 10 s"},
       "The largest current that the pack can give for so long, at a state of charge, before its "
       "voltage falls to the limit. Worked out from the circuit, not measured at each point."},
      {"capacity",
       {"real capacity", "measured", "charge", "at reference"},
       "The charge, in ampere-hours, that came out of the full pack until its voltage, or its "
       "weakest cell's, reached the end-of-discharge voltage. It belongs to its current and its "
       "temperature: the same pack gives less at a higher current and in the cold."},
      {"caution",
       {"cautions"},
       "Something that bears on how far the figures can be trusted, or that can hurt you. Read "
       "them before the verdicts."},
      {"cell spread",
       {"spread of the cells", "weakest cell", "weak cell"},
       "How far the cells' voltages lie apart near the end of the discharge. One cell that falls "
       "away first empties the pack for all others; it is named by its place, counted from the "
       "negative end. It wants looking at: a weak cell, or a poor weld."},
      {"certainty",
       {"QRP certainty", "QRO certainty", "risk", "conformance"},
       "How likely it is that the verdict is wrong, from the margin and its uncertainty alone "
       "(JCGM 106): for this one pack, on that day."},
      {"circuit",
       {"equivalent circuit", "circuit over charge", "time constant"},
       "A resistance and one or two resistor-capacitor pairs that answer a current as the pack "
       "does: the first drops at once, each pair within its time constant. The residual says how "
       "far the record and the circuit are apart."},
      {"coverage factor",
       {"k"},
       "What the standard uncertainty was multiplied by: k = 2 means that the true value lies "
       "within the interval in about 95 cases of 100 (JCGM 100, 6.3.3)."},
      {"d.c. resistance",
       {"dc resistance", "resistance", "r"},
       "Fall of the voltage from a lower to a higher current, over their difference, by the "
       "two-current method of IEC 61960-3: 0.2 It for 10 s, 1 It for 1 s. Packs whose resistance "
       "rises from year to year age. An impedance meter shows another, mostly lower, figure."},
      {"end of discharge",
       {"end-of-discharge voltage", "end voltage"},
       "The voltage at which a discharge counts as done. Below it the cells take harm. Yours is in "
       "the pack file; without one the chemistry's usual value holds."},
      {"endurance",
       {"hours", "hours on the air"},
       "How long your way of operating lasts on this pack, with an interval, and what ends it: "
       "capacity, the radio's lower supply limit, the cold, or the weight that you carry."},
      {"energy",
       {"wh", "watt-hours"},
       "Voltage times charge, summed over the discharge, in watt-hours. At a higher current the "
       "same charge carries less energy, since the voltage sags. What air-travel limits ask for "
       "is the rated one: rated capacity times nominal voltage."},
      {"expanded uncertainty",
       {"uncertainty", "value +/- expanded uncertainty"},
       "The figure after the sign for plus or minus: within it of the value, either way, lies the "
       "true one in about 95 cases of 100. It comes from your instruments' accuracy, the noise of "
       "the readings and the times. Two figures that differ by less do not differ."},
      {"gap",
       {"gaps"},
       "A stretch of a run in which nobody watched, since the program or the computer died. What "
       "can have flowed meanwhile is in the uncertainty."},
      {"It",
       {"rate", "c rate"},
       "A current told by the pack's size, as IEC 61960-3 does: 1 It empties the rated capacity in "
       "one hour, 0.2 It in five. Of a 10 Ah pack 0.2 It is 2 A. Many say C for it."},
      {"margin",
       {"margin to the limit"},
       "How far the lowest supply at the radio stays above the radio's lower limit, in volts. "
       "With the uncertainty taken off it must be above zero for \"suits\"."},
      {"nominal voltage",
       {"nominal"},
       "The round number by which a pack goes: cells in series times the chemistry's usual "
       "voltage. A full pack has more, one under load less."},
      {"open-circuit voltage",
       {"open circuit", "open-circuit curve"},
       "The voltage of the pack at rest, nothing connected but the meter. Against charge it makes "
       "a curve that tells how full a rested pack is. Of LFP the middle is so flat that it tells "
       "little there."},
      {"peak current",
       {"highest current", "held peaks", "peaks"},
       "The largest current that the radio's lower supply limit allows at a state of charge, by a "
       "straight line through peaks that were held; never more than half again as much as was "
       "tried."},
      {"peukert exponent",
       {"peukert"},
       "How much capacity a higher current costs: 1 means none; lead-acid has more. Only from "
       " whole discharges of one pack at currents that are far apart (Elektrotechnische "
       "Zeitschrift 20 (1897) 287)."},
      {"prediction",
       {"predictions"},
       "What earlier parts of the run foretold of a later one, before it was measured. Where they "
       "agree, the method can be trusted for this pack."},
      {"protection board",
       {"board", "board trip"},
       "Electronics in the pack that disconnect it when a cell is too low, a current too high or "
       "the pack too hot. Then the voltage is gone at once, whatever the charge. It is a last "
       "resort, not a gauge: do not run packs into it."},
      {"QRO",
       {"on qro", "usable on qro", "qro rating"},
       "Full power: a station of 100 W or more, from a car or a field site. Peaks of 20 A and more "
       "tell how a pack sags."},
      {"QRP",
       {"on qrp", "usable on qrp", "qrp rating"},
       "Low power: a station of a few watts that is carried. Currents are small; capacity for the "
       "weight, cold and the end of the discharge decide."},
      {"rated capacity",
       {"label", "rated", "of rated"},
       "What the label or the maker says that the pack holds. Shown beside what it was found to "
       "hold."},
      {"resistance by two points",
       {"two points", "two-point resistance"},
       "Of lead-acid packs, by IEC 60896-21: 20 s at four, then 5 s at twenty times the ten-hour "
       "current. Gives the short-circuit current as well."},
      {"resistance of a step",
       {"step", "step resistance", "resistance, 10 s step"},
       "Fall of the voltage so long after a current came on from rest, over that current. The "
       "longer one waits the more it is, since the pack answers in several paces."},
      {"resistance of cells",
       {"cell resistance", "resistance, cell 1", "cell 1", "cell 2", "cell 3", "cell 4"},
       "The same for each tapped cell, some ten seconds after the edge. With welds and links in "
       "it: one cell far above the others may be a poor joint."},
      {"resistance of contacts",
       {"contact resistance", "contacts", "leads, contacts"},
       "Of leads, plugs and fuse between pack and load, from the meter's and the load's voltages "
       "that part as the current rises. What is lost there becomes heat: feel the plugs."},
      {"sag",
       {"sag below rest", "recovery"},
       "How far the voltage falls when a current comes on, and comes back when it goes: at once by "
       "the resistance, then over seconds and minutes by what the cells must move inside."},
      {"seal",
       {"sha256", "hash", "sha-256 of the run", "verify"},
       "A fingerprint of everything that a run holds, made as it ended. \"sagbench verify\" makes "
       "it again: any change of the record since shows, and where."},
      {"simulated",
       {"virtual bench"},
       "Measured on the program's own pretence of a pack. Says nothing of any real one."},
      {"standard uncertainty",
       {"uncertainty budget", "budget", "contribution", "sensitivity"},
       "What one input can be off by (one standard deviation). Times its sensitivity it is its "
       "contribution to the figure; contributions add as squares (JCGM 100, 5.1.2). The largest "
       "one is what a better instrument would help most."},
      {"state of charge",
       {"at charge", "charge at the end"},
       "How full the pack is, in per cent of its capacity: by counting what came out, by the "
       "voltage at rest, or by both."},
      {"supply limits",
       {"supply_min", "lower supply limit"},
       "Between which voltages the radio's maker promises that it works, at the radio's own plug. "
       "Below the lower one it distorts, loses power or switches off in the middle of a word."},
      {"tie",
       {"rank", "="},
       "Runs whose figures differ by less than their uncertainties together: their order says "
       "nothing."},
      {"usable capacity",
       {"usable", "usable charge", "QRP usable", "QRO usable"},
       "The charge until the radio's supply would leave its limits at a transmit peak. Mostly less "
       "than the capacity: the rest is in the pack but the radio cannot use it."},
      {"verdict",
       {"suits", "marginal", "does not suit", "not measured", "rests on", "would change it"},
       "\"Suits\": the lowest supply under the radio's peaks is above its limit by more than the "
       "uncertainty, down to 20 % charge. \"Does not suit\": it is below by more. \"Marginal\": "
       "closer than can be told. \"Not measured\": the run lacks the test for it (JCGM 106, "
       "8.3.2)."}};
  return terms;
}

template <class Matches>
std::vector<const Term*> where(Matches matches) {
  std::vector<const Term*> found;
  for (const Term& term : all_terms())
    if (matches(term.name) || std::ranges::any_of(term.also, matches)) found.push_back(&term);
  return found;
}

}  // namespace

std::span<const Term> glossary() {
  return all_terms();
}

std::vector<const Term*> terms_like(std::string_view words) {
  const std::string wanted = lower(words);
  auto found = where([&](std::string_view name) { return lower(name) == wanted; });
  constexpr std::size_t kFewLetters = 3;  // they lie in too many words
  if (found.empty() && wanted.size() >= kFewLetters)
    found =
        where([&](std::string_view name) { return lower(name).find(wanted) != std::string::npos; });
  return found;
}

std::string term_text(const Term& term) {
  std::string text = wrapped(fmt::format("{}: {}", term.name, term.meaning), 80, 2) + "\n";
  if (!term.also.empty())
    text += wrapped(fmt::format("  Also: {}.", fmt::join(term.also, ", ")), 80, 8) + "\n";
  return text;
}

}  // namespace sagbench::bench
