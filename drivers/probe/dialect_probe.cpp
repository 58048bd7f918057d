#include "drivers/probe/dialect_probe.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <utility>

#include "drivers/probe/load_probe.hpp"
#include "drivers/probe/meter_probe.hpp"
#include "drivers/probe/probe_session.hpp"
#include "drivers/probe/probe_tries.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

asio::awaitable<Result<void>> find_errors(ProbeSession& session, ProbeFindings& findings) {
  const Result<bool> found = co_await session.find_error_query();
  if (!found) co_return found.error();
  if (!*found) {
    findings.lacking.emplace_back("a query for errors: it answers none of those of the standards");
  } else {
    findings.dialect.error_query = operation_of(session.error_query());
    if (!session.reports_errors()) {
      findings.unknown.emplace_back(
          "whether settings are taken: it reports no error even for nonsense");
    }
  }
  co_return Result<void>{};
}

/// `*CLS` is mandatory (IEEE 488.2, 10.3).
asio::awaitable<Result<void>> find_clear(ProbeTries& tries, ProbeFindings& findings) {
  const Result<bool> taken = co_await tries.takes(findings.dialect.clear.send);
  if (!taken) co_return taken.error();
  if (!*taken) findings.lacking.emplace_back("*CLS, which clears the error queue");
  co_return Result<void>{};
}

asio::awaitable<Result<void>> find_words(ProbeSession& session, ProbeTries& tries,
                                         ProbeFindings& findings, const ProbeProgress& told) {
  told("errors");
  const Result<void> errors = co_await find_errors(session, findings);
  if (!errors) co_return errors;
  const Result<bool> has_input = co_await probe_load(tries, findings, told);
  if (!has_input) co_return has_input.error();
  if (!*has_input) {
    findings.unknown.clear();  // of a load, which it is not
    const Result<void> meter = co_await probe_meter(tries, findings, told);
    if (!meter) co_return meter;
  }
  co_return co_await find_clear(tries, findings);
}

/// Words of a scanner are none of a load's, and those of a load none of a meter's.
void forget_the_others(ProbeFindings& findings) {
  if (findings.kind != InstrumentClass::meter) {
    findings.dialect.measure_voltage_channel.reset();
    findings.dialect.measure_temperature_channel.reset();
  } else {
    findings.dialect.current_mode.reset();
    findings.dialect.current_protection.reset();
  }
}

asio::awaitable<Result<void>> restore(ProbeSession& session, ProbeTries& tries) {
  const Result<std::vector<std::string>> changed = co_await tries.restore();
  if (!changed) co_return changed.error();
  if (changed->empty()) co_return Result<void>{};
  co_return Error{ErrorKind::instrument,
                  fmt::format("{}: not as it was found, and does not take it back: {}",
                              session.where(), fmt::join(*changed, "; "))};
}

}  // namespace

asio::awaitable<Result<ProbeFindings>> probe_dialect(std::unique_ptr<Transport> transport,
                                                     Clock& clock, ProbeProgress told) {
  ProbeSession session(std::move(transport), clock);
  const Result<void> opened = co_await session.open();
  if (!opened) co_return opened.error();
  ProbeFindings findings;
  findings.identity = session.identity();
  findings.dialect.name = session.identity();
  ProbeTries tries(session);
  const Result<void> found = co_await find_words(session, tries, findings, told);
  // Whatever came of it: what was sent is looked at once more.
  told("settings as they were");
  const Result<void> restored = co_await restore(session, tries);
  if (!found) co_return found.error();
  if (!restored) co_return restored.error();
  forget_the_others(findings);
  co_return findings;
}

}  // namespace sagbench::drivers
