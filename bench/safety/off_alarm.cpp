#include "bench/safety/off_alarm.hpp"

#include <fmt/format.h>

#include "bench/system/console.hpp"
#include "bench/system/terminal.hpp"

namespace sagbench::bench {
namespace {

constexpr double kGiveUp_s = 30.0;  // without a person at a terminal
constexpr double kEvery_s = 5.0;

}  // namespace

OffAlarm::OffAlarm(const drivers::Clock& clock, bool virtual_time, const RunSignals& signals,
                   std::function<void(const std::string&)> told)
    : clock_(clock), virtual_time_(virtual_time), signals_(signals), told_(std::move(told)) {}

bool OffAlarm::give_up() {
  if (!trying_since_) trying_since_ = clock_.now();
  if (stderr_is_terminal() && !virtual_time_) return signals_.seen() > signals_before_;
  return drivers::to_seconds(clock_.now() - *trying_since_) > kGiveUp_s;
}

void OffAlarm::sound(const std::string& trouble) {
  const drivers::Time now = clock_.now();
  if (last_ && drivers::to_seconds(now - *last_) < kEvery_s) return;
  if (!last_) signals_before_ = signals_.seen();
  last_ = now;
  const std::string text = fmt::format(
      "PULL THE PACK'S LEAD: the load cannot be confirmed off ({}); still trying", trouble);
  if (told_)
    told_(text);
  else
    say("\a" + text + "\n");
}

}  // namespace sagbench::bench
