#pragma once
// Works out an instrument's dialect by asking it: queries first, settings only with the value that
// is there already, and after each what the instrument says to it. The input is never switched on.

#include <boost/asio/awaitable.hpp>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "drivers/clock.hpp"
#include "drivers/dialect.hpp"
#include "drivers/result.hpp"
#include "drivers/transport.hpp"

namespace sagbench::drivers {

enum class InstrumentClass { load, meter, neither };

/// What an instrument showed of itself.
struct ProbeFindings {
  InstrumentClass kind = InstrumentClass::neither;
  std::string identity;
  Dialect dialect;                   // without what was not found, as far as that may be absent
  std::vector<std::string> lacking;  // what no run can do without; sentences
  std::vector<std::string> unknown;  // what could not be found out; sentences

  bool is_enough() const noexcept { return kind != InstrumentClass::neither && lacking.empty(); }
};

/// Told what is looked for now.
using ProbeProgress = std::function<void(std::string_view what)>;

/// Leaves every setting as it was found, which is read back, and the input off. An input found on
/// is a `caller` error before anything is sent that could disturb what is drawn; a setting that
/// cannot be brought back is an `instrument` error that names it. Takes up to a minute with an
/// instrument that meets what it does not know with silence.
boost::asio::awaitable<Result<ProbeFindings>> probe_dialect(std::unique_ptr<Transport> transport,
                                                            Clock& clock, ProbeProgress told);

}  // namespace sagbench::drivers
