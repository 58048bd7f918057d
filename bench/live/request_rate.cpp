#include "bench/live/request_rate.hpp"

#include <algorithm>

namespace sagbench::live {
namespace {

constexpr double kPunishment = 5.0;

}  // namespace

bool RequestRate::admit(const std::string& address, double now_s) {
  Allowance& allowance = allowance_of(address, now_s);
  if (allowance.left < 1.0) return false;
  allowance.left -= 1.0;
  return true;
}

void RequestRate::punish(const std::string& address, double now_s) {
  Allowance& allowance = allowance_of(address, now_s);
  allowance.left = std::max(0.0, allowance.left - kPunishment);
}

/// Up to now.
RequestRate::Allowance& RequestRate::allowance_of(const std::string& address, double now_s) {
  const auto found = allowances_.find(address);
  if (found == allowances_.end()) {
    if (allowances_.size() >= kAddresses) forget_one(now_s);
    return allowances_[address] = {at_once_, now_s};
  }
  Allowance& allowance = found->second;
  allowance.left = std::min(at_once_, allowance.left + each_second_ * (now_s - allowance.at_s));
  allowance.at_s = now_s;
  return allowance;
}

void RequestRate::forget_one(double now_s) {
  const auto left = [this, now_s](const auto& entry) {
    return entry.second.left + each_second_ * (now_s - entry.second.at_s);
  };
  allowances_.erase(std::ranges::max_element(allowances_, {}, left));
}

}  // namespace sagbench::live
