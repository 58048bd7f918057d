// Text on a page: made printable, wrapped, and checked for faults of layout.
#include <array>
#include <string>

#include "catch.hpp"
#include "reports/font_files.hpp"
#include "reports/iso_date.hpp"
#include "reports/page_flow.hpp"
#include "reports/paragraph.hpp"
#include "reports/pdf_document.hpp"
#include "reports/printable_text.hpp"
#include "reports/table.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {
namespace {

TEST_CASE("letters of any script pass, control characters do not") {
  const std::string cyrillic = "\xD0\x9F\xD0\xBE\xD0\xBB\xD0\xB5 \xC5\x81\xC3\xB3\xC4\x8F";
  CHECK(printable(cyrillic) == cyrillic);
  CHECK(printable("a\tb\nc") == "a b c");
  CHECK(printable("a\x1B[31m") == "a\xEF\xBF\xBD[31m");
  CHECK(printable(std::string("a\0b", 3)) ==
        "a\xEF\xBF\xBD"
        "b");
  CHECK(printable("a\xE2\x80\xAE"
                  "b") ==
        "a\xEF\xBF\xBD"
        "b");  // right-to-left override
}

TEST_CASE("malformed UTF-8 becomes replacement marks") {
  // RFC 3629, section 3 and 10: overlong "/", a surrogate, a lone continuation, a cut sequence.
  for (const std::string text : {"\xC0\xAF", "\xED\xA0\x80", "\x80", "\xE2\x82"}) {
    const auto clean = printable(text);
    CHECK(clean.size() == 3 * text.size());
    CHECK(clean.substr(0, 3) == "\xEF\xBF\xBD");
  }
}

TEST_CASE("wrapped lines fit, lose no word and break where they may") {
  PdfDocument document("test", "");
  const Canvas& canvas = document.add_page();
  const std::string text =
      "Under peaks of 20\xC2\xA0"
      "A the radio still had 12.12\xC2\xA0V left";
  std::string joined;
  for (const auto& line : wrap(canvas, text, kBody, 60.0)) {
    CHECK(canvas.text_width(line, kBody) <= 60.0);
    joined += joined.empty() ? line : " " + line;
  }
  CHECK(joined == text);
  CHECK(wrap(canvas, "", kBody, 60.0).size() == 1);
  CHECK(wrap_at_most(canvas, std::string(500, 'W'), kBody, 60.0, 2).size() == 2);
  CHECK(wrap_at_most(canvas, std::string(500, 'W'), kBody, 60.0, 2)[1].ends_with("\xE2\x80\xA6"));
  CHECK(canvas.text_width(fit(canvas, std::string(500, 'W'), kBody, 60.0), kBody) <= 60.0);
}

TEST_CASE("a column is never narrower than the longest word of its title") {
  PdfDocument document("test", "");
  const Canvas& canvas = document.add_page();
  const Table narrow{{{"Charge", 0.05}, {"Let go early", 5.0}}, {{"9", "no"}}, kBody, 3};
  const Table wide{{{"Charge", 1.0}, {"Let go early", 1.0}}, {{"9", "no"}}, kBody, 3};
  CHECK(table_height(canvas, 200.0, narrow) == table_height(canvas, 200.0, wide));
  // Where not even the words fit, all share the lack and the table keeps its width.
  CHECK(table_height(canvas, 30.0, narrow) > table_height(canvas, 200.0, narrow));
}

TEST_CASE("a figure stays on its line where its table has the room") {
  PdfDocument document("test", "");
  const Canvas& canvas = document.add_page();
  const std::string figure = "14.918\xC2\xA0\xC2\xB1\xC2\xA0\x30.018";
  Table table{{{"Name", 5.0}, {"Ah", 0.5}}, {{"Ridge", "9"}, {"Elder", figure}}, kBody, 3};
  const double broken = table_height(canvas, 120.0, table);
  keep_figures_whole(canvas, table);
  const double whole = table_height(canvas, 120.0, table);
  CHECK(whole < broken);
  table.rows = {{"Ridge", "9"}, {"Elder", "9"}};
  CHECK(whole == table_height(canvas, 120.0, table));
}

TEST_CASE("the layout check sees what is wrong") {
  PdfDocument document("test", "");
  Canvas& canvas = document.add_page();
  SECTION("text over text") {
    canvas.text({100, 100}, "one", kBody);
    canvas.text({105, 103}, "two", kBody);
  }
  SECTION("text outside the margins") {
    canvas.text({20, 100}, "one", kBody);
  }
  SECTION("text cut by a block") {
    canvas.claim({100, 90, 5, 20}, "block");
    canvas.text({98, 100}, "one", kBody);
  }
  SECTION("blocks over each other") {
    canvas.claim({100, 100, 50, 50}, "a");
    canvas.claim({120, 120, 50, 50}, "b");
  }
  SECTION("a line outside the margins") {
    canvas.line({100, 100}, {590, 100}, {});
  }
  SECTION("an empty plot") {
    canvas.plot({100, 100, 50, 50}, 0.0, "plot", [] {});
  }
  SECTION("a curve beyond its plot") {
    canvas.plot({100, 100, 50, 50}, 3.0, "plot", [&] { canvas.line({99, 99}, {99, 160}, {}); });
  }
  SECTION("text over a plot") {
    canvas.text({110, 120}, "one", kBody);
    canvas.plot({100, 100, 50, 50}, 0.0, "plot", [&] {
      canvas.text({110, 140}, "meant", kBody);
      canvas.disc({120, 120}, 3, kBlack);
    });
  }
  CHECK(document.layout_faults().size() == 1);
}

TEST_CASE("a missing typeface names the package that has it") {
  constexpr std::array<std::string_view, 1> kNowhere = {"/nowhere"};
  REQUIRE_THROWS_AS(find_font("DejaVuSans.ttf", kNowhere), ReportError);
  try {
    find_font("DejaVuSans.ttf", kNowhere);
  } catch (const ReportError& error) {
    CHECK(std::string(error.what()).find("fonts-dejavu-core") != std::string::npos);
  }
}

TEST_CASE("a fault of the PDF library becomes a ReportError after the call") {
  PdfDocument document("test", "");
  document.add_page().text({100, 100}, "one", {-1.0, Weight::regular, kBlack});  // no such size
  std::string said;
  try {
    document.bytes();
  } catch (const ReportError& error) {
    said = error.what();
  }
  CHECK(said.starts_with("the PDF library reported error 0x"));
}

TEST_CASE("a row that no page holds ends the document, and turns no pages for ever") {
  PdfDocument document("test", "");
  PageFlow flow(document);
  std::string endless;
  for (int word = 0; word < 5000; ++word) endless += "word ";
  const Table table{.columns = {{"Words"}}, .rows = {{endless}}, .most_lines = 1000};
  CHECK_THROWS_WITH(flow.table(table), "a row is higher than its page");
  CHECK(document.pages().size() == 2);
}

TEST_CASE("ages are counted on the calendar") {
  CHECK(age_text("2025-05-01", "2026-03-01T10:15:00Z") == "10 months");
  CHECK(age_text("2026-02-28", "2026-03-01") == "1 day");
  CHECK(age_text("2020-01-01", "2026-03-01") == "6 years");
  CHECK_FALSE(age_text("2026-03-02", "2026-03-01"));  // built after the test
  CHECK_FALSE(age_text("", "2026-03-01"));
  CHECK_FALSE(iso_date("2026-02-30"));
  CHECK_FALSE(iso_time("2026-02-28T25:00:00Z"));
}

}  // namespace
}  // namespace sagbench::reports
