#include "drivers/virtual/scpi_status.hpp"

#include <algorithm>

#include "drivers/virtual/scpi_fault.hpp"

namespace sagbench::drivers::virtual_bench {
namespace {

// Bits of the standard event register (IEEE 488.2, 11.5.1) by class of error (SCPI-1999 Vol 2
// ch. 21.8).
unsigned event_of(int number) {
  constexpr unsigned kQuery = 4;
  constexpr unsigned kDevice = 8;
  constexpr unsigned kExecution = 16;
  constexpr unsigned kCommand = 32;
  if (number <= -100 && number > -200) return kCommand;
  if (number <= -200 && number > -300) return kExecution;
  if (number <= -400 && number > -500) return kQuery;
  return kDevice;
}

}  // namespace

ScpiStatus::ScpiStatus(std::size_t queue_length)
    : queue_length_(std::max<std::size_t>(queue_length, 1)) {}

void ScpiStatus::report(int number) {
  events_ |= event_of(number);
  if (errors_.size() < queue_length_) {
    errors_.push_back(number);
  } else {
    errors_.back() = fault::kQueueOverflow;
  }
}

int ScpiStatus::take_error() {
  if (errors_.empty()) return 0;
  const int number = errors_.front();
  errors_.pop_front();
  return number;
}

unsigned ScpiStatus::take_events() noexcept {
  const unsigned events = events_;
  events_ = 0;
  return events;
}

unsigned ScpiStatus::status_byte(bool answer_waits) const noexcept {
  constexpr unsigned kErrorQueue = 4;
  constexpr unsigned kAnswerWaits = 16;
  constexpr unsigned kEventSummary = 32;
  constexpr unsigned kMasterSummary = 64;
  unsigned byte = 0;
  if (!errors_.empty()) byte |= kErrorQueue;
  if (answer_waits) byte |= kAnswerWaits;
  if ((events_ & event_enable) != 0) byte |= kEventSummary;
  if ((byte & service_enable) != 0) byte |= kMasterSummary;
  return byte;
}

void ScpiStatus::clear() noexcept {
  errors_.clear();
  events_ = 0;
}

}  // namespace sagbench::drivers::virtual_bench
