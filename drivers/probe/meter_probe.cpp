#include "drivers/probe/meter_probe.hpp"

#include <fmt/format.h>

#include <optional>
#include <string>
#include <utility>

#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

/// Execution errors (SCPI-1999 Vol. 2, 21.8.10): the message was understood, its value was not
/// possible.
bool is_execution_error(int number) {
  return number <= -200 && number > -300;
}

class MeterProbe {
 public:
  MeterProbe(ProbeTries& tries, ProbeFindings& findings, const ProbeProgress& told)
      : tries_(tries), findings_(findings), dialect_(findings.dialect), told_(told) {}

  asio::awaitable<Result<void>> run();

 private:
  /// A form with a channel list, and a channel that answered to it.
  struct ChannelForm {
    std::optional<Operation> operation;
    std::optional<int> channel;
  };

  asio::awaitable<Result<void>> find_integration();
  asio::awaitable<Result<void>> find_voltmeter();
  asio::awaitable<Result<void>> find_channels();
  asio::awaitable<Result<ChannelForm>> channel_form(std::string form);
  asio::awaitable<Result<void>> find_scan(const ChannelForm& single);

  void unknown(std::string what) { findings_.unknown.push_back(std::move(what)); }
  void note_channel(const ChannelForm& form, const char* what);

  ProbeTries& tries_;
  ProbeFindings& findings_;
  Dialect& dialect_;
  const ProbeProgress& told_;
};

asio::awaitable<Result<void>> MeterProbe::run() {
  // Before it measures: a measurement may choose an integration time of its own.
  told_("integration time");
  const Result<void> integration = co_await find_integration();
  if (!integration) co_return integration;
  told_("voltage");
  const Result<void> voltage = co_await find_voltmeter();
  if (!voltage) co_return voltage;
  told_("channels");
  co_return co_await find_channels();
}

asio::awaitable<Result<void>> MeterProbe::find_integration() {
  const ProbedSetting& probed = integration_of_a_meter();
  const auto form = co_await tries_.first_setting(probed.forms);
  if (!form) co_return form.error();
  if (!*form || !(*form)->can_be_read) {
    unknown("words for the integration time");
    co_return Result<void>{};
  }
  const Result<Operation> operation = co_await tries_.with_limits((*form)->form);
  if (!operation) co_return operation.error();
  dialect_.*probed.setting = *operation;
  dialect_.*probed.query = operation_of((*form)->form.query);
  co_return Result<void>{};
}

asio::awaitable<Result<void>> MeterProbe::find_voltmeter() {
  for (const std::string_view form : voltage_forms()) {
    const auto voltage = co_await tries_.number(std::string(form), Patience::reading);
    if (!voltage) co_return voltage.error();
    if (!*voltage) continue;
    dialect_.measure_voltage = operation_of(form);
    dialect_.measure_voltage.takes_s = allowance_s((*voltage)->took);
    findings_.kind = InstrumentClass::meter;
    co_return Result<void>{};
  }
  co_return Result<void>{};
}

asio::awaitable<Result<void>> MeterProbe::find_channels() {
  const Dialect& standard = scpi_1999();
  const Result<ChannelForm> voltage = co_await channel_form(standard.measure_voltage_channel->send);
  if (!voltage) co_return voltage.error();
  dialect_.measure_voltage_channel = voltage->operation;
  note_channel(*voltage, "voltage");
  if (voltage->operation) findings_.kind = InstrumentClass::meter;
  if (findings_.kind != InstrumentClass::meter) co_return Result<void>{};
  const Result<void> scan = co_await find_scan(*voltage);
  if (!scan) co_return scan;
  const Result<ChannelForm> temperature =
      co_await channel_form(standard.measure_temperature_channel->send);
  if (!temperature) co_return temperature.error();
  dialect_.measure_temperature_channel = temperature->operation;
  note_channel(*temperature, "temperature");
  co_return Result<void>{};
}

asio::awaitable<Result<MeterProbe::ChannelForm>> MeterProbe::channel_form(std::string form) {
  ChannelForm found;
  for (const int channel : channels_to_try()) {
    const std::string query = filled(form, std::to_string(channel));
    const auto number = co_await tries_.number(query, Patience::reading);
    if (!number) co_return number.error();
    if (*number) {
      found.operation = operation_of(form);
      found.operation->takes_s = allowance_s((*number)->took);
      found.channel = channel;
      co_return found;
    }
    const auto error = co_await tries_.error_of(query);
    if (!error) co_return error.error();
    if (*error && is_execution_error(**error)) found.operation = operation_of(form);
    if (!found.operation) break;  // it does not know the words, so no channel helps
  }
  co_return found;
}

void MeterProbe::note_channel(const ChannelForm& form, const char* what) {
  if (!form.operation) {
    unknown(fmt::format("words for the {} of one channel", what));
  } else if (!form.channel) {
    unknown(fmt::format("which channels measure a {}: the words {} are understood", what,
                        in_quotes(form.operation->send)));
  }
}

/// Two channels that answer one after the other are asked for together.
asio::awaitable<Result<void>> MeterProbe::find_scan(const ChannelForm& single) {
  if (single.channel) {
    const std::string both = fmt::format("{},{}", *single.channel, *single.channel + 1);
    const auto pair =
        co_await tries_.numbers(filled(single.operation->send, both), Patience::reading);
    if (!pair) co_return pair.error();
    if (*pair && (*pair)->size() == 2) {
      dialect_.scan_voltages = operation_of(single.operation->send);
      dialect_.scan_voltages->takes_s = single.operation->takes_s;
      co_return Result<void>{};
    }
  }
  unknown("words for several channels in one exchange");
  co_return Result<void>{};
}

}  // namespace

asio::awaitable<Result<void>> probe_meter(ProbeTries& tries, ProbeFindings& findings,
                                          const ProbeProgress& told) {
  MeterProbe probe(tries, findings, told);
  co_return co_await probe.run();
}

}  // namespace sagbench::drivers
