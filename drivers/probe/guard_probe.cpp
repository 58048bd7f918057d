#include "drivers/probe/guard_probe.hpp"

#include <fmt/format.h>

#include <optional>
#include <string>
#include <utility>

#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

class GuardProbe {
 public:
  GuardProbe(ProbeTries& tries, ProbeFindings& findings)
      : tries_(tries), findings_(findings), dialect_(findings.dialect) {}

  asio::awaitable<Result<void>> run();

 private:
  asio::awaitable<Result<void>> find_limit(const ProbedSetting& limit);
  asio::awaitable<Result<bool>> is_disabled(std::string query);
  asio::awaitable<Result<void>> find_tripped();
  asio::awaitable<Result<void>> find_remote_sense();
  void forget_limit(const ProbedSetting& limit);

  void unknown(std::string what) { findings_.unknown.push_back(std::move(what)); }

  ProbeTries& tries_;
  ProbeFindings& findings_;
  Dialect& dialect_;
};

asio::awaitable<Result<void>> GuardProbe::run() {
  for (const ProbedSetting& limit : limits_of_a_load()) {
    const Result<void> done = co_await find_limit(limit);
    if (!done) co_return done;
  }
  const Result<void> tripped = co_await find_tripped();
  if (!tripped) co_return tripped;
  co_return co_await find_remote_sense();
}

asio::awaitable<Result<void>> GuardProbe::find_limit(const ProbedSetting& limit) {
  forget_limit(limit);
  const auto form = co_await tries_.first_setting(limit.forms);
  if (!form) co_return form.error();
  if (!*form) {
    unknown(fmt::format("words for a {}", limit.what));
    co_return Result<void>{};
  }
  const SettingForm& words = (*form)->form;
  const Result<bool> disabled = co_await is_disabled(std::string(words.query));
  if (!disabled) co_return disabled.error();
  if (*disabled) {
    // A guard that is set and does not watch is worse than one that is known to be absent.
    unknown(
        fmt::format("how to enable the {}: {} sets it, but it has a switch of its own, which is "
                    "off",
                    limit.what, in_quotes(words.setting)));
    co_return Result<void>{};
  }
  if (!(*form)->can_be_read) {
    unknown(fmt::format("whether the {} holds: {} is known, but it cannot be read back", limit.what,
                        in_quotes(words.setting)));
    if (!limit.replaces_a_person) dialect_.*limit.setting = operation_of(words.setting);
    co_return Result<void>{};
  }
  const Result<Operation> operation = co_await tries_.with_limits(words);
  if (!operation) co_return operation.error();
  dialect_.*limit.setting = *operation;
  dialect_.*limit.query = operation_of(words.query);
  co_return Result<void>{};
}

void GuardProbe::forget_limit(const ProbedSetting& limit) {
  (dialect_.*limit.setting).reset();
  (dialect_.*limit.query).reset();
}

/// A limit may have a STATe beside its LEVel (SCPI-1999 Vol. 2, 19.5).
asio::awaitable<Result<bool>> GuardProbe::is_disabled(std::string query) {
  constexpr std::string_view kLevel = ":LEV";
  query.pop_back();
  if (query.ends_with(kLevel)) query.resize(query.size() - kLevel.size());
  const Result<std::optional<bool>> enabled = co_await tries_.state(query + ":STAT?");
  if (!enabled) co_return enabled.error();
  co_return *enabled && !**enabled;
}

asio::awaitable<Result<void>> GuardProbe::find_tripped() {
  for (const std::string_view form : tripped_forms()) {
    const Result<std::optional<bool>> tripped = co_await tries_.state(std::string(form));
    if (!tripped) co_return tripped.error();
    if (!*tripped) continue;
    dialect_.protection_tripped_query = operation_of(form);
    co_return Result<void>{};
  }
  unknown("words that ask whether a protection has tripped");
  co_return Result<void>{};
}

asio::awaitable<Result<void>> GuardProbe::find_remote_sense() {
  for (const SwitchForm& form : remote_sense_forms()) {
    const std::string query(form.query);
    const Result<std::optional<bool>> state = co_await tries_.state(query);
    if (!state) co_return state.error();
    if (!*state) continue;
    const std::string present = **state ? std::string(form.on) : std::string(form.off);
    const std::string value = **state ? "1" : "0";
    const Result<bool> taken = co_await tries_.takes_back(present, query, value);
    if (!taken) co_return taken.error();
    if (!*taken) continue;
    dialect_.remote_sense_on = operation_of(form.on);
    dialect_.remote_sense_off = operation_of(form.off);
    dialect_.remote_sense_query = operation_of(form.query);
    co_return Result<void>{};
  }
  unknown("words for remote sense");
  co_return Result<void>{};
}

}  // namespace

asio::awaitable<Result<void>> probe_guards(ProbeTries& tries, ProbeFindings& findings) {
  GuardProbe probe(tries, findings);
  co_return co_await probe.run();
}

}  // namespace sagbench::drivers
