// How numbers are printed.
#include "reports/number_text.hpp"

#include <string>
#include <vector>

#include "catch.hpp"
#include "reports/numbered_reasons.hpp"

namespace sagbench::reports {
namespace {

// Reads better in a check than escapes: "~" stands for the no-break space.
std::string spaced(std::string text) {
  for (std::size_t at = text.find('~'); at != std::string::npos; at = text.find('~')) {
    text.replace(at, 1, "\xC2\xA0");
  }
  return text;
}

TEST_CASE("a value is rounded to the place of its uncertainty's second digit") {
  // JCGM 100:2008, 7.2.4: "mS = (100,021 47 +/- 0,000 79) g" (from memory; decimal point here).
  CHECK(measured_text({100.02147, 0.00079, 2.26}, "g") == spaced("100.02147~\xC2\xB1~0.00079~g"));
  CHECK(measured_text({9.8704, 0.0213, 2.0}, "Ah") == spaced("9.870~\xC2\xB1~0.021~Ah"));
  CHECK(measured_text({1234.5, 123.4, 2.0}, "Wh") == spaced("1230~\xC2\xB1~120~Wh"));
  CHECK(measured_text({-0.4, 0.05, 2.0}, "V") == spaced("\xE2\x88\x92"
                                                        "0.400~\xC2\xB1~0.050~V"));
}

TEST_CASE("rounding an uncertainty up into a new digit takes a place away") {
  CHECK(measured_text({5.0, 0.0996, 2.0}, "V") == spaced("5.00~\xC2\xB1~0.10~V"));
  CHECK(measured_text({5.0, 0.996, 2.0}, "V") == spaced("5.0~\xC2\xB1~1.0~V"));
}

TEST_CASE("an operator reads two decimals, the uncertainty rounded up") {
  CHECK(operator_text({1.9361, 0.0056, 2.0}, "V") == spaced("1.94~\xC2\xB1~0.01~V"));
  CHECK(operator_text({0.5719, 0.0701, 2.0}, "V") == spaced("0.57~\xC2\xB1~0.08~V"));
  CHECK(operator_text({0.57, 0.07, 2.0}, "V") == spaced("0.57~\xC2\xB1~0.07~V"));
  CHECK(operator_text({12.34, 1.26, 2.0}, "V") == spaced("12.3~\xC2\xB1~1.3~V"));
  CHECK(operator_text({2.1082, 0.0024, 2.0}, "V") == spaced("2.11~\xC2\xB1~0.01~V"));
  CHECK(operator_text({9.87, 0.0, 2.0}, "V") == spaced("9.87~V"));
}

TEST_CASE("an uncertainty that is not known is not printed as one") {
  CHECK(measured_text({9.87, 0.0, 2.0}, "Ah") == spaced("9.87~Ah"));
  CHECK(measured_text({9.87, std::stod("nan"), 2.0}, "Ah") == spaced("9.87~Ah"));
}

TEST_CASE("resistances below an ohm are milliohms") {
  CHECK(resistance_text({0.0302, 0.0006, 2.0}) == spaced("30.20~\xC2\xB1~0.60~m\xCE\xA9"));
  CHECK(resistance_text({1.5, 0.25, 2.0}) == spaced("1.50~\xC2\xB1~0.25~\xCE\xA9"));
}

TEST_CASE("plain numbers keep three digits and no idle zeros") {
  CHECK(number_text(10.0) == "10");
  CHECK(number_text(0.2) == "0.2");
  CHECK(number_text(0.0) == "0");
  CHECK(number_text(12345.0) == "12300");
  CHECK(number_text(99.96) == "100");
  CHECK(fixed_text(-0.001, 2) == "0.00");  // no minus nothing
}

TEST_CASE("durations use the unit that fits") {
  CHECK(duration_text(45.0) == spaced("45~s"));
  CHECK(duration_text(720.0) == spaced("12~min"));
  CHECK(duration_text(11100.0) == spaced("3~h~05~min"));
  CHECK(duration_text(3599.0) == spaced("1~h~00~min"));
}

TEST_CASE("numbers have a comma while that is the sign, and a point before and after") {
  {
    const DecimalSign comma(',');
    CHECK(measured_text({9.8704, 0.0213, 2.0}, "Ah") == spaced("9,870~\xC2\xB1~0,021~Ah"));
    CHECK(number_text(2.50) == "2,5");
    CHECK(number_text(2.0) == "2");
    CHECK(fixed_text(-0.5, 1) ==
          "\xE2\x88\x92"
          "0,5");
    CHECK(duration_text(0.01) == spaced("under 0,1~s"));
  }
  CHECK(number_text(2.5) == "2.5");
}

TEST_CASE("in sentences numbers get the sign, versions, clauses and files do not") {
  const DecimalSign comma(',');
  CHECK(as_printed("fell through 10.50 V (1.5 +/- 0.2 V).") ==
        "fell through 10,50 V (1,5 \xC2\xB1 0,2 V).");
  CHECK(as_printed("at 3.7.") == "at 3,7.");
  const std::string kept =
      "sagbench 0.1.0, JCGM 100:2008, 5.1.2, v2.5, data_2.5.csv, 10.0.0.1. End.";
  CHECK(as_printed(kept) == kept);
  CHECK(as_printed("a cable of 30.0 mohm") == spaced("a cable of 30,0~m\xCE\xA9"));
}

TEST_CASE("numbers in a row are told by their ends, and a reason once") {
  CHECK(numbers_text(std::vector<std::size_t>{}).empty());
  CHECK(numbers_text(std::vector<std::size_t>{1, 2, 3, 4, 6, 7, 9}) == "1 to 4, 6, 7, 9");
  CHECK(reasons_text(std::vector<NumberedReason>{}).empty());
  const std::vector<NumberedReason> reasons = {
      {1, "none was tested."}, {2, "too cold"}, {3, "none was tested"}};
  CHECK(reasons_text(reasons) == "No. 1, 3: none was tested. No. 2: too cold.");
}

}  // namespace
}  // namespace sagbench::reports
