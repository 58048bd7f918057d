#include "drivers/probe/load_probe.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "drivers/probe/guard_probe.hpp"
#include "drivers/probe/list_probe.hpp"
#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

// Two readings of the same quantity, one after the other. Common practice, no source.
constexpr double kAgree = 0.02;
constexpr double kAgreeFloor = 0.05;

bool agree(double a, double b) {
  return std::abs(a - b) <= kAgreeFloor + kAgree * std::abs(b);
}

class LoadProbe {
 public:
  LoadProbe(ProbeTries& tries, ProbeFindings& findings, const ProbeProgress& told)
      : tries_(tries), findings_(findings), dialect_(findings.dialect), told_(told) {}

  asio::awaitable<Result<void>> run();
  bool has_input() const noexcept { return input_.has_value(); }

 private:
  using Step = asio::awaitable<Result<void>> (LoadProbe::*)();
  struct Search {
    std::string_view what;
    Step step;
  };

  asio::awaitable<Result<void>> find_input();
  asio::awaitable<Result<void>> find_mode();
  asio::awaitable<Result<bool>> is_supply();
  asio::awaitable<Result<void>> find_current();
  asio::awaitable<Result<void>> find_input_off();
  asio::awaitable<Result<bool>> try_off(std::string on, std::string off);
  asio::awaitable<Result<void>> find_readings();
  asio::awaitable<Result<void>> find_reading(const ProbedReading& reading, ProbedNumber& shown);
  asio::awaitable<Result<void>> find_both();
  asio::awaitable<Result<void>> find_completion();

  bool is_load() const noexcept { return findings_.kind == InstrumentClass::load; }
  void lacks(std::string what) { findings_.lacking.push_back(std::move(what)); }
  void unknown(std::string what) { findings_.unknown.push_back(std::move(what)); }
  void note_mode(const SettingForm& form, const std::string& mode);

  ProbeTries& tries_;
  ProbeFindings& findings_;
  Dialect& dialect_;
  const ProbeProgress& told_;
  std::optional<SwitchForm> input_;
  std::string mode_;  // as found; empty when it cannot be asked for
  ProbedNumber voltage_;
  ProbedNumber current_;
};

asio::awaitable<Result<void>> LoadProbe::run() {
  static constexpr Search kWhatItIs[] = {{"the input", &LoadProbe::find_input},
                                         {"the mode", &LoadProbe::find_mode},
                                         {"the current", &LoadProbe::find_current}};
  for (const Search& search : kWhatItIs) {
    told_(search.what);
    const Result<void> done = co_await (this->*search.step)();
    if (!done || !input_) co_return done;
  }
  if (!is_load()) co_return Result<void>{};
  static constexpr Search kWhatItCanDo[] = {{"switching off", &LoadProbe::find_input_off},
                                            {"readings", &LoadProbe::find_readings},
                                            {"both readings at once", &LoadProbe::find_both},
                                            {"completion", &LoadProbe::find_completion}};
  for (const Search& search : kWhatItCanDo) {
    told_(search.what);
    const Result<void> done = co_await (this->*search.step)();
    if (!done) co_return done;
  }
  told_("limits of its own");
  const Result<void> guards = co_await probe_guards(tries_, findings_);
  if (!guards) co_return guards;
  told_("lists of currents");
  co_return co_await probe_list(tries_, findings_);
}

asio::awaitable<Result<void>> LoadProbe::find_input() {
  for (const SwitchForm& form : input_forms()) {
    const Result<std::optional<bool>> on = co_await tries_.state(std::string(form.query));
    if (!on) co_return on.error();
    if (!*on) continue;
    if (**on) {
      co_return Error{ErrorKind::caller,
                      fmt::format("{}: its input is on ({} answers so): switch it off first, since "
                                  "a probe must not disturb what it draws",
                                  tries_.session().where(), in_quotes(form.query))};
    }
    input_ = form;
    dialect_.input_query = operation_of(form.query);
    break;
  }
  co_return Result<void>{};
}

asio::awaitable<Result<void>> LoadProbe::find_mode() {
  dialect_.current_mode.reset();
  for (const SettingForm& form : mode_forms()) {
    const std::string query(form.query);
    const Result<std::optional<std::string>> mode = co_await tries_.text(query);
    if (!mode) co_return mode.error();
    if (!*mode) continue;
    const std::string message = filled(std::string(form.setting), **mode);
    const Result<bool> taken = co_await tries_.takes_back(message, query, **mode);
    if (!taken) co_return taken.error();
    if (!*taken) continue;
    note_mode(form, **mode);
    co_return Result<void>{};
  }
  const auto header = co_await tries_.first_header(mode_forms());
  if (!header) co_return header.error();
  if (*header) {
    dialect_.current_mode = operation_of(filled(std::string((*header)->form.setting), "CURR"));
    unknown(fmt::format("whether it takes {}: it does not tell its present mode",
                        in_quotes(dialect_.current_mode->send)));
  } else {
    unknown("words for the mode: make sure that the load is in constant-current mode");
  }
  co_return Result<void>{};
}

void LoadProbe::note_mode(const SettingForm& form, const std::string& mode) {
  mode_ = mode;
  const std::string word = is_current_mode(mode) ? mode : "CURR";
  dialect_.current_mode = operation_of(filled(std::string(form.setting), word));
  if (is_current_mode(mode)) return;
  unknown(fmt::format("whether it takes {}: it was found in mode {}, and that was left",
                      in_quotes(dialect_.current_mode->send), in_quotes(mode)));
}

/// What has an output and a voltage to keep at it feeds a pack instead of loading it.
asio::awaitable<Result<bool>> LoadProbe::is_supply() {
  if (!is_output_form(*input_) || is_current_mode(mode_)) co_return false;
  const auto setpoint = co_await tries_.number(std::string(kVoltageSetpoint));
  if (!setpoint) co_return setpoint.error();
  co_return setpoint->has_value();
}

asio::awaitable<Result<void>> LoadProbe::find_current() {
  const Result<bool> supply = co_await is_supply();
  if (!supply) co_return supply.error();
  if (*supply) co_return Result<void>{};
  const auto form = co_await tries_.first_setting(current_forms());
  if (!form) co_return form.error();
  if (!*form) co_return Result<void>{};
  if ((*form)->can_be_read) {
    const Result<Operation> operation = co_await tries_.with_limits((*form)->form);
    if (!operation) co_return operation.error();
    dialect_.set_current = *operation;
  } else {
    dialect_.set_current = operation_of((*form)->form.setting);
    unknown(
        fmt::format("whether {} is taken: it does not tell what it is set to, so nothing was set",
                    in_quotes((*form)->form.setting)));
  }
  findings_.kind = InstrumentClass::load;
  if (is_output_form(*input_)) {
    unknown("whether it is a load: its input is called an output, as that of a power supply is");
  }
  co_return Result<void>{};
}

asio::awaitable<Result<void>> LoadProbe::find_input_off() {
  const Result<bool> words = co_await try_off(std::string(input_->on), std::string(input_->off));
  if (!words) co_return words.error();
  bool found = *words;
  if (!found) {
    const std::string header(input_->query.substr(0, input_->query.size() - 1));
    const Result<bool> digits = co_await try_off(header + " 1", header + " 0");
    if (!digits) co_return digits.error();
    found = *digits;
  }
  if (found) {
    unknown(fmt::format("whether {} switches the input on: a probe never sends it",
                        in_quotes(dialect_.input_on.send)));
  } else {
    lacks(fmt::format("words that switch the input off ({} was refused)", in_quotes(input_->off)));
  }
  co_return Result<void>{};
}

asio::awaitable<Result<bool>> LoadProbe::try_off(std::string on, std::string off) {
  Result<bool> taken = co_await tries_.takes(off);  // not const: see ProbeTries::takes_back()
  if (!taken || !*taken) co_return taken;
  const Result<std::optional<bool>> state = co_await tries_.state(std::string(input_->query));
  if (!state) co_return state.error();
  const bool is_off = *state && !**state;
  if (is_off) {
    dialect_.input_on = operation_of(on);
    dialect_.input_off = operation_of(off);
  }
  co_return is_off;
}

asio::awaitable<Result<void>> LoadProbe::find_readings() {
  const Result<void> voltage = co_await find_reading(readings_of_a_load()[0], voltage_);
  if (!voltage) co_return voltage.error();
  co_return co_await find_reading(readings_of_a_load()[1], current_);
}

asio::awaitable<Result<void>> LoadProbe::find_reading(const ProbedReading& reading,
                                                      ProbedNumber& shown) {
  for (const std::string_view form : reading.forms) {
    const auto number = co_await tries_.number(std::string(form), Patience::reading);
    if (!number) co_return number.error();
    if (!*number) continue;
    shown = **number;
    dialect_.*reading.query = operation_of(form);
    (dialect_.*reading.query).takes_s = allowance_s(shown.took);
    co_return Result<void>{};
  }
  lacks(fmt::format("words to measure a {}", reading.what));
  co_return Result<void>{};
}

/// A relative header that is looked up at the root would give the setpoint of the same name.
asio::awaitable<Result<void>> LoadProbe::find_both() {
  if (!findings_.lacking.empty()) co_return Result<void>{};
  const auto setpoint = co_await tries_.number(std::string(kVoltageSetpoint));
  if (!setpoint) co_return setpoint.error();
  for (const std::string_view form : pair_forms()) {
    const bool is_relative = form.find(";:") == std::string_view::npos;
    if (is_relative && *setpoint) continue;
    const auto pair = co_await tries_.numbers(std::string(form), Patience::reading);
    if (!pair) co_return pair.error();
    const bool is_pair = *pair && (*pair)->size() == 2 && agree((*pair)->at(0), current_.value) &&
                         agree((*pair)->at(1), voltage_.value);
    if (!is_pair) continue;
    dialect_.measure_both = operation_of(form);
    dialect_.measure_both->takes_s = allowance_s(current_.took + voltage_.took);
    co_return Result<void>{};
  }
  unknown("words to measure current and voltage in one exchange");
  co_return Result<void>{};
}

asio::awaitable<Result<void>> LoadProbe::find_completion() {
  const auto done = co_await tries_.number("*OPC?");
  if (!done) co_return done.error();
  if (*done && (*done)->value == 1.0) dialect_.operation_complete = operation_of("*OPC?");
  co_return Result<void>{};
}

}  // namespace

asio::awaitable<Result<bool>> probe_load(ProbeTries& tries, ProbeFindings& findings,
                                         const ProbeProgress& told) {
  LoadProbe probe(tries, findings, told);
  const Result<void> done = co_await probe.run();
  if (!done) co_return done.error();
  co_return probe.has_input();
}

}  // namespace sagbench::drivers
