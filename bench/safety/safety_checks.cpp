#include "bench/safety/safety_checks.hpp"

#include <fmt/format.h>

#include <array>

namespace sagbench::bench {
namespace {

constexpr auto kOff = Action::switch_off;
constexpr auto kWarn = Action::warn;

constexpr std::array kChecks = std::to_array<SafetyCheck>({
    {CheckId::current_while_off, "current_while_off", "current with the input off", kOff,
     "1 % of the allowed current plus twice the load's accuracy plus 20 mA, from 0.5 s after OFF",
     "the load's class in the bench file; common practice, no source",
     "{:.3f} A flows although the input is off", "pull the pack's lead; the load does not obey",
     "no current with the input off"},
    {CheckId::time_backwards, "time_backwards", "time going backwards", kOff,
     "time only goes forward", "without it no reading has an age", "time went back by {:.3f} s",
     "a defect of this computer or of this program: do not go on with it", "a new run"},
    {CheckId::current_came_back, "current_came_back", "current that came back", kOff,
     "after it had vanished, no current until the input was switched off",
     "a protection board, a fuse holder or a lead that opens and closes under load",
     "{:.2f} A flows again after it had vanished: something opens and closes under load",
     "look for a loose lead or fuse; let the protection board recover with the load off",
     "the input was off"},
    {CheckId::current_high, "current_high", "current", kOff,
     "the lowest of max_discharge_current_A, fuse_A and the load's max_current_A, plus 2 % and the "
     "load's accuracy; no current into the pack",
     "pack file, bench file; without either in the pack file 1 It",
     "current {:.3f} A, limit {:.3f} A",
     "check polarity and the load; no charging source may be connected",
     "a current within the limit"},
    {CheckId::current_above_setpoint, "current_above_setpoint", "current beyond what is asked for",
     kOff,
     "5 % plus twice the load's accuracy plus 20 mA above what was asked for, from 0.5 s after a "
     "change",
     "the load's class in the bench file; common practice, no source",
     "the load draws {:.3f} A where {:.3f} A was asked for",
     "the load is faulty or its accuracy in the bench file is too good to be true",
     "the load draws what it is asked for"},
    {CheckId::temperature_high, "temperature_high", "temperature, highest", kOff,
     "max_temperature_C, never above what the chemistry allows in discharge",
     "pack file, chemistry", "temperature {:.1f} °C, limit {:.1f} °C",
     "let the pack cool where it cannot harm; check the thermometer", "a temperature below it"},
    {CheckId::temperature_low, "temperature_low", "temperature, lowest", kOff,
     "the chemistry's lowest temperature in discharge", "chemistry",
     "temperature {:.1f} °C, limit {:.1f} °C", "warm the pack up; check the thermometer",
     "a temperature above it"},
    {CheckId::heating_fast, "heating_fast", "fast heating", kOff, "5 °C within a minute",
     "common practice, no source",
     "the pack became {:.1f} °C warmer within a minute, limit {:.1f} °C",
     "something in the pack is failing or its thermometer is: keep away, let it cool where it "
     "cannot harm",
     "a minute with less"},
    {CheckId::cell_low, "cell_low", "lowest cell", kOff, "the chemistry's floor, each tapped cell",
     "chemistry", "cell {} at {:.3f} V, limit {:.3f} V",
     "recharge before the cell takes harm; check its tap", "every cell above it"},
    {CheckId::cell_high, "cell_high", "highest cell", kOff,
     "the chemistry's end-of-charge voltage plus the load's accuracy, each tapped cell",
     "chemistry, bench file", "cell {} at {:.3f} V, limit {:.3f} V", "check the tap's wiring",
     "every cell below it"},
    {CheckId::pack_low, "pack_low", "pack voltage, lowest", kOff,
     "series times the chemistry's floor, not below the load's min_voltage_V; not where a "
     "protection board has disconnected the pack",
     "pack file, chemistry, bench file", "pack at {:.3f} V, limit {:.3f} V",
     "recharge the pack; check connections", "a pack voltage above it"},
    {CheckId::pack_high, "pack_high", "pack voltage, highest", kOff,
     "end_of_charge_V plus the load's accuracy, not above the load's max_voltage_V",
     "pack file, chemistry, bench file", "pack at {:.3f} V, limit {:.3f} V",
     "check polarity, chemistry and series count in the pack file", "a pack voltage below it"},
    {CheckId::power_high, "power_high", "power", kOff, "the load's max_power_W", "bench file",
     "power {:.1f} W, limit {:.1f} W", "use a smaller current or a larger load",
     "a power below it"},
    {CheckId::contact, "contact", "lost in leads and contacts", kOff,
     "meter and load may differ by 0.15 V, the accuracy of both, and the current times twice the "
     "leads' resistance",
     "bench file; common practice, no source",
     "meter and load differ by {:.3f} V at {:.2f} A, limit {:.3f} V",
     "a contact is bad or a sense lead is off: feel for warmth with the input off, clean and "
     "tighten",
     "a difference within it"},
    {CheckId::contact_hot, "contact_hot", "heat in leads and contacts", kOff,
     "between meter and load 5 W more are lost than at the best moment of the run, plus 30 % for "
     "leads that grow warm",
     "common practice, no source",
     "leads and contacts take {:.1f} W more than they did, limit {:.1f} W",
     "a contact is coming loose and grows hot: switch off, let it cool, clean and tighten",
     "a new run, the contact mended"},
    {CheckId::cells_disagree, "cells_disagree", "cells and pack that disagree", kOff,
     "where every cell is tapped, their sum is within 5 % of the pack's voltage",
     "common practice, no source", "the cells add up to {:.3f} V where the pack has {:.3f} V",
     "a tap is off, or a reading does not follow: check taps, channels and meter",
     "the sum agrees"},
    {CheckId::reading_frozen, "reading_frozen", "a reading that stands still", kOff,
     "the pack's voltage changes by some digit while 4 % of the rated capacity are removed; 20 % "
     "where its digits are coarser than 0.05 %",
     "common practice, no source",
     "the pack's voltage has read {:.4f} V without the least change while {:.3f} Ah were removed",
     "the meter repeats an old reading: look at its trigger and hold settings", "another reading"},
    {CheckId::charge_high, "charge_high", "charge removed", kOff,
     "130 % of rated_capacity_Ah since the pack was last full", "pack file; the design's own limit",
     "{:.3f} Ah removed, limit {:.3f} Ah (130 % of rated)",
     "check rated_capacity_Ah in the pack file and that no charger is connected",
     "a recharged pack"},
    {CheckId::current_vanished, "current_vanished", "current that vanished", kOff,
     "no more than 2 s without current while one is asked for", "common practice, no source",
     "no current for {:.1f} s where {:.2f} A was asked for, limit {:.1f} s",
     "a protection board, fuse or lead has opened: find out which before going on",
     "the input was off"},
    {CheckId::duration, "duration", "time in this step", kOff,
     "what the step can take at most: its own time, or 135 % of the rated capacity at its current",
     "plan, pack file", "the step has lasted {:.0f} s, limit {:.0f} s",
     "check rated_capacity_Ah and the current asked for", "another step"},
    {CheckId::unwatched, "unwatched", "time between readings", kOff,
     "5 s between two looks while current may flow", "the watch time (design, guarantee 1)",
     "nobody watched the pack for {:.1f} s, limit {:.1f} s: this computer was suspended or too "
     "busy",
     "keep the computer awake: no lid, no energy saving, on its charger", "a fresh look"},
    {CheckId::stale, "stale", "age of a reading", kOff,
     "pack voltage and current 5 s; cells, temperature and the load's voltage 10 s",
     "the watch time (design, guarantee 1)", "the {} {}, limit {:.1f} s",
     "check the line to the instrument", "a fresh reading"},
    {CheckId::heating, "heating", "heating", kWarn, "3 °C within a minute",
     "common practice, no source",
     "the pack became {:.1f} °C warmer within a minute; at {:.1f} °C the run ends",
     "stay by it; a smaller current heats less", "told once a run"},
    {CheckId::contact_warming, "contact_warming", "contacts that get warmer", kWarn,
     "as contact_hot, 2 W", "common practice, no source",
     "leads and contacts take {:.1f} W more than they did; at {:.1f} W the run ends",
     "feel the plugs for warmth after the run, clean and tighten", "told once a run"},
    {CheckId::resistance_rising, "resistance_rising", "resistance that rises", kWarn,
     "a rise of the current costs more than twice the voltage it once did, and 5 % of the nominal "
     "voltage more",
     "common practice, no source; an empty pack does so too",
     "the pack's resistance has risen from {:.4f} to {:.4f} ohm during this run",
     "nearly empty, or a joint in the pack fails: compare with the next run", "told once a run"},
    {CheckId::cell_falling_away, "cell_falling_away", "a cell that falls away", kWarn,
     "the weakest tapped cell 5 % of the nominal voltage below the mean of the others, while these "
     "are not near their end",
     "common practice, no source", "cell {} is at {:.3f} V, {:.3f} V below the mean of the others",
     "a weak or badly connected cell: look at its place in the report", "told once a run"},
    {CheckId::clock_set, "clock_set", "the computer's clock", kWarn, "5 s",
     "common practice, no source",
     "this computer's clock was set by {:+.0f} s; the times of this run do not follow it",
     "nothing to do: only dates in the record are meant by it", "told once a run"},
});

constexpr bool in_order() {
  for (std::size_t i = 0; i < kChecks.size(); ++i) {
    if (static_cast<std::size_t>(kChecks[i].id) != i) return false;
    if (i > 0 && kChecks[i - 1].action < kChecks[i].action) return false;
  }
  return true;
}
static_assert(in_order(), "a row for each CheckId in its order, the worse action first");

/// "pack at {:.3f} V" as "pack at … V".
std::string without_values(std::string_view message) {
  std::string text;
  bool inside = false;
  for (const char c : message) {
    if (c == '{') text += "…";
    inside = c == '{' || (inside && c != '}');
    if (!inside && c != '}') text += c;
  }
  return text;
}

std::string rows(Action action) {
  std::string rows =
      "| check | limit | where it comes from | what it says | what to do | clears with |\n"
      "| --- | --- | --- | --- | --- | --- |\n";
  for (const SafetyCheck& check : kChecks)
    if (check.action == action)
      rows += fmt::format("| `{}` | {} | {} | {} | {} | {} |\n", check.name, check.limit,
                          check.source, without_values(check.message), check.remedy, check.clears);
  return rows;
}

}  // namespace

std::span<const SafetyCheck> safety_checks() noexcept {
  return kChecks;
}

const SafetyCheck& check_of(CheckId id) noexcept {
  return kChecks[static_cast<std::size_t>(id)];
}

std::string_view name_of(CheckId id) noexcept {
  return check_of(id).name;
}

std::string safety_checks_page() {
  return fmt::format(
      "# What is checked while a pack is under load\n\n"
      "Made from the program's own table, `bench/safety/safety_checks.cpp`; a test holds the two "
      "together.\n"
      "Every reading passes these checks at once, before anything else is done with it; when "
      "several\n"
      "fail, the one further up counts. Before the input goes on, one fresh round of all readings\n"
      "must pass them too. What is absent or not a number fails.\n\n"
      "## These switch the input off and end the run (exit code 3)\n\n{}\n"
      "## These warn, on the terminal and in the record, once a run\n\n{}",
      rows(Action::switch_off), rows(Action::warn));
}

}  // namespace sagbench::bench
