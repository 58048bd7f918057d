#include "drivers/com_transport.hpp"

#include <fmt/format.h>
#include <windows.h>

#include <cmath>
#include <utility>

namespace sagbench::drivers {
namespace {

/// Common practice, no source: both ends of an asynchronous line together may be off by about 5 %;
/// a port that rounds the speed by more than this is set wrongly.
constexpr double kBaudTolerance = 0.02;

std::string why_not_opened(const boost::system::error_code& failure) {
  switch (failure.value()) {
    case ERROR_FILE_NOT_FOUND:
    case ERROR_PATH_NOT_FOUND:
      return "no such port";
    case ERROR_ACCESS_DENIED:
    case ERROR_SHARING_VIOLATION:
      return "in use by another program";
    default:
      return failure.message();
  }
}

DCB plain(DCB settings) {
  settings.ByteSize = 8;
  settings.Parity = NOPARITY;
  settings.StopBits = ONESTOPBIT;
  settings.fBinary = TRUE;
  settings.fParity = FALSE;
  settings.fOutxCtsFlow = FALSE;
  settings.fOutxDsrFlow = FALSE;
  settings.fDsrSensitivity = FALSE;
  settings.fOutX = FALSE;
  settings.fInX = FALSE;
  settings.fNull = FALSE;
  settings.fErrorChar = FALSE;
  settings.fAbortOnError = FALSE;
  settings.fDtrControl = DTR_CONTROL_ENABLE;
  settings.fRtsControl = RTS_CONTROL_ENABLE;
  return settings;
}

bool is_plain(const DCB& now) {
  return now.ByteSize == 8 && now.Parity == NOPARITY && now.StopBits == ONESTOPBIT &&
         !now.fOutxCtsFlow && !now.fOutxDsrFlow && !now.fDsrSensitivity && !now.fOutX &&
         !now.fInX && !now.fNull && !now.fErrorChar && now.fDtrControl == DTR_CONTROL_ENABLE &&
         now.fRtsControl == RTS_CONTROL_ENABLE;
}

bool settings_of(HANDLE port, DCB& settings) {
  settings = {};
  settings.DCBlength = sizeof settings;
  return GetCommState(port, &settings) != 0;
}

}  // namespace

ComTransport::ComTransport(const boost::asio::any_io_executor& executor, Clock& clock,
                           std::string port, unsigned baud)
    : StreamTransport(executor, clock, std::move(port)), baud_(baud) {}

boost::asio::awaitable<Result<void>> ComTransport::open(Time) {
  close();
  boost::system::error_code failure;
  line()->stream.open(name(), failure);
  if (failure) co_return failed(*line(), ErrorKind::disconnected, why_not_opened(failure));
  const Result<void> ready = set_up();
  if (!ready) close();
  co_return ready;
}

Result<void> ComTransport::set_up() {
  const HANDLE port = line()->stream.native_handle();
  DCB settings;
  if (!settings_of(port, settings))
    return failed(*line(), ErrorKind::disconnected, "not a serial port");
  settings = plain(settings);
  if (!SetCommState(port, &settings))
    return failed(*line(), ErrorKind::disconnected, "takes no line settings");
  if (!settings_of(port, settings) || !is_plain(settings))
    return failed(*line(), ErrorKind::disconnected, "does not keep its line settings");
  return set_baud();
}

Result<void> ComTransport::set_baud() {
  const HANDLE port = line()->stream.native_handle();
  DCB settings;
  if (!settings_of(port, settings))
    return failed(*line(), ErrorKind::disconnected, "does not tell its line settings");
  settings.BaudRate = baud_;
  if (!SetCommState(port, &settings) || !settings_of(port, settings))
    return failed(*line(), ErrorKind::caller, fmt::format("baud {} is not possible here", baud_));
  const double got = settings.BaudRate;
  if (std::abs(got - baud_) > kBaudTolerance * baud_) {
    return failed(*line(), ErrorKind::caller,
                  fmt::format("baud {} is not possible here: the port went to {:.0f}", baud_, got));
  }
  return {};
}

Result<void> ComTransport::change_baud(unsigned baud) {
  baud_ = baud;
  if (!line()->stream.is_open()) return {};
  return set_baud();
}

}  // namespace sagbench::drivers
