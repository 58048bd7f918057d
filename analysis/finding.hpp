#pragma once
// A figure that may not be had. Either a value, or the reason there is none: never a guess.

#include <optional>
#include <stdexcept>
#include <string>
#include <utility>

namespace sagbench::analysis {

template <class T>
class Finding {
 public:
  /// "Not looked for" until somebody says otherwise, so that a forgotten figure never looks
  /// measured.
  Finding() : why_("not computed") {}
  Finding(T value)
      : value_(std::move(value)) {}  // NOLINT(google-explicit-constructor): reads as the value

  static Finding missing(std::string why) {
    Finding finding;
    finding.why_.swap(why);
    return finding;
  }

  explicit operator bool() const noexcept { return value_.has_value(); }
  /// Precondition: *this converts to true.
  const T& operator*() const noexcept { return *value_; }
  const T* operator->() const noexcept { return &*value_; }
  /// For who has no use for the rest without it: a std::runtime_error says why there is none.
  const T& value() const {
    if (!value_) throw std::runtime_error(why_);
    return *value_;
  }
  /// Why there is no value; empty when there is one.
  const std::string& why() const noexcept { return why_; }

 private:
  std::optional<T> value_;
  std::string why_;
};

/// A value with its expanded uncertainty U = k u (JCGM 100:2008, 6.2), both in the unit the name of
/// the variable gives.
struct Measured {
  double value = 0.0;
  double expanded_uncertainty = 0.0;
  double coverage_factor = 2.0;
};

}  // namespace sagbench::analysis
