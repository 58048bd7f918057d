#pragma once
// The one exception of a run: something ended it. Thrown by the rig, caught once by the controller.

#include <stdexcept>
#include <string>

#include "reports/run_record.hpp"

namespace sagbench::bench {

class Stop : public std::runtime_error {
 public:
  Stop(reports::RunEnd end, const std::string& reason) : std::runtime_error(reason), end_(end) {}
  reports::RunEnd end() const noexcept { return end_; }

 private:
  reports::RunEnd end_;
};

}  // namespace sagbench::bench
