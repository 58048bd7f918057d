#pragma once
// What an instrument remembers about its errors: the queue and the registers of IEEE 488.2 ch. 11.

#include <cstddef>
#include <deque>

namespace sagbench::drivers::virtual_bench {

class ScpiStatus {
 public:
  /// `queue_length`: errors kept; when one more comes the last becomes -350 (SCPI-1999 Vol 2
  /// ch. 21.8).
  explicit ScpiStatus(std::size_t queue_length = 16);

  /// Queues the error and sets its class's bit in the event register.
  void report(int number);
  /// Oldest first; 0 when there is none.
  int take_error();
  std::size_t error_count() const noexcept { return errors_.size(); }

  void operation_complete() noexcept { events_ |= kOperationComplete; }
  /// Reading clears (IEEE 488.2, 11.5).
  unsigned take_events() noexcept;
  /// Status byte with the master summary in bit 6.
  unsigned status_byte(bool answer_waits) const noexcept;
  /// *CLS: errors and events; not the enable registers.
  void clear() noexcept;

  unsigned event_enable = 0;    // *ESE
  unsigned service_enable = 0;  // *SRE

 private:
  static constexpr unsigned kOperationComplete = 1;

  std::size_t queue_length_;
  std::deque<int> errors_;
  unsigned events_ = 0;
};

}  // namespace sagbench::drivers::virtual_bench
