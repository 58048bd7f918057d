#pragma once
// How many requests an address may make.

#include <cstddef>
#include <map>
#include <string>

namespace sagbench::live {

class RequestRate {
 public:
  /// `each_second` in the long run, `at_once` after a pause.
  RequestRate(double each_second, double at_once) : each_second_(each_second), at_once_(at_once) {}

  /// Addresses that are remembered; where more come, the least busy one is forgotten.
  static constexpr std::size_t kAddresses = 512;

  /// False: too many. `now_s` does not run backwards.
  bool admit(const std::string& address, double now_s);
  /// One more than it was: a wrong token is as good as several requests.
  void punish(const std::string& address, double now_s);

 private:
  struct Allowance {
    double left = 0.0;
    double at_s = 0.0;
  };
  Allowance& allowance_of(const std::string& address, double now_s);
  void forget_one(double now_s);

  const double each_second_, at_once_;
  std::map<std::string, Allowance> allowances_;
};

}  // namespace sagbench::live
