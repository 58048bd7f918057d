#pragma once
// For tests of JSON: the keys that must be there.

#include <initializer_list>
#include <nlohmann/json.hpp>

#include "catch.hpp"

namespace sagbench::reports::testing {

inline void check_keys(const nlohmann::json& object, std::initializer_list<const char*> keys) {
  REQUIRE(object.is_object());
  for (const char* key : keys) {
    CAPTURE(key, object.dump());
    CHECK(object.contains(key));
  }
}

}  // namespace sagbench::reports::testing
