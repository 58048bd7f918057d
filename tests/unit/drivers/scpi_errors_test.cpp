#include "drivers/scpi_errors.hpp"

#include "catch.hpp"

namespace sagbench::drivers::test {

// SCPI-1999 Vol. 2, 21.8.
TEST_CASE("entries of the error queue begin with a number") {
  CHECK(error_number("0,\"No error\"") == 0);
  CHECK(error_number("+0,\"No error\"") == 0);
  CHECK(error_number("-222,\"Data out of range\"") == -222);
  CHECK(error_number("101") == 101);
  for (const auto* other : {"", "+", "none", "\"-222\"", "1.5,\"a\"", "99999999999,\"a\""}) {
    CAPTURE(other);
    CHECK_FALSE(error_number(other));
  }
}

// IEEE 488.2, 11.5.1: bits 7 to 0 are power on, user request, command error, execution error,
// device-dependent error, query error, request control, operation complete.
TEST_CASE("the event register is read bit by bit") {
  CHECK(events_in_words("0") == "");
  CHECK(events_in_words("67") == "");
  CHECK(events_in_words("32") == "command error");
  CHECK(events_in_words("+16") == "execution error");
  CHECK(events_in_words("188") ==
        "query error, device-dependent error, execution error, command error, power on");
  for (const auto* other : {"", "-1", "256", "1.5", "ON", "9.91E37", "32,0"}) {
    CAPTURE(other);
    CHECK_FALSE(events_in_words(other));
  }
}

}  // namespace sagbench::drivers::test
