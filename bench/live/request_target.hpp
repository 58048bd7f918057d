#pragma once
// Path and query of a request.

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace sagbench::live {

struct RequestTarget {
  std::string path;  // decoded; begins with "/"
  std::vector<std::pair<std::string, std::string>> query;

  /// The first of that name.
  std::optional<std::string> value(std::string_view name) const;
};

/// Nothing where it is not of that form, holds a broken escape or a control character, or is too
/// long.
std::optional<RequestTarget> parse_target(std::string_view target);

}  // namespace sagbench::live
