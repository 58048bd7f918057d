// The reports as a whole: sound layout, page count, same bytes, nothing left behind.
#include "reports/test_report.hpp"

#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "catch.hpp"
#include "report_fixture.hpp"
#include "reports/comparison_report.hpp"
#include "reports/report_pages.hpp"

namespace sagbench::reports {
namespace {

namespace fs = std::filesystem;

class Folder {
 public:
  explicit Folder(const std::string& name)
      : path_(fs::temp_directory_path() / (name + "-" + std::to_string(::getpid()))) {
    fs::remove_all(path_);
    fs::create_directories(path_);
  }
  ~Folder() { fs::remove_all(path_); }
  std::string file(const std::string& name) const { return (path_ / name).string(); }
  std::size_t entries() const {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(path_), {}));
  }

 private:
  fs::path path_;
};

std::string content(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

PdfDocument& drawn(PdfDocument& document, const ReportInput& input) {
  draw_test_report(document, input);
  return document;
}

void require_sound(const PdfDocument& document) {
  for (const auto& fault : document.layout_faults()) FAIL_CHECK(fault);
}

TEST_CASE("every kind of run has a sound layout and two to nine pages") {
  const auto [input, pages] =
      GENERATE(std::pair{&fixture::whole_run, 5U}, std::pair{&fixture::aborted_run, 2U},
               std::pair{&fixture::imported_run, 2U}, std::pair{&fixture::empty_run, 2U},
               std::pair{&fixture::crowded_run, 9U});
  PdfDocument document("test", "");
  drawn(document, input());
  CHECK(document.pages().size() == pages);
  require_sound(document);
  CHECK(document.bytes().substr(0, 5) == "%PDF-");
}

TEST_CASE("a capacity with a budget has a page on where its uncertainty comes from") {
  ReportInput input = fixture::whole_run();
  analysis::Capacity capacity = *input.figures.capacity;
  capacity.charge_budget.add_rectangular("offset of the current", 0.012, "A", 6.0);
  capacity.energy_budget.add_normal("noise of the current", 0.001, "A", 0.3);
  input.figures.capacity = capacity;
  PdfDocument document("test", "");
  CHECK(drawn(document, input).pages().size() == 6);
  require_sound(document);
}

analysis::ChargeCircuit two_branches() {
  const auto curve = [](double first, double last) {
    return analysis::FittedCurve{{0.0, 9.87}, {{first, 0.001 * first}, {last, 0.001 * last}}};
  };
  analysis::ChargeCircuit circuit;
  circuit.source_v = curve(13.6, 11.0);
  circuit.r0_ohm = curve(0.015, 0.020);
  circuit.branches = {{{1.3, 0.1}, curve(0.004, 0.006)}, {{40.0, 2.0}, curve(0.003, 0.010)}};
  return circuit;
}

TEST_CASE("a fitted circuit has a page, with or without the peaks that follow from it") {
  ReportInput input = fixture::whole_run();
  input.figures.charge_circuit = two_branches();
  SECTION("peaks by charge and duration, some capped, one pair unknown") {
    input.figures.capability = {{0.9, 1.0, {30.0, 0.0, 2.0}, "fuse"},
                                {0.9, 60.0, {26.1, 0.8, 2.0}, "supply_min"},
                                {0.5, 1.0, {37.5, 0.0, 2.0}, "tested range"}};
  }
  SECTION("without them") {}
  PdfDocument document("test", "");
  CHECK(drawn(document, input).pages().size() == 6);
  require_sound(document);
}

TEST_CASE("resistances by several methods have a table") {
  ReportInput input = fixture::whole_run();
  const analysis::Measured ohm{0.0123, 0.0004, 2.0};
  analysis::StepResistance step{.charge = 0.5, .current_a = 10.0, .held_s = 2.0, .points = {}};
  step.points.push_back({1.0, 1.0, ohm});
  step.points.push_back(
      {10.0, 10.0, analysis::Finding<analysis::Measured>::missing("let go after 2 s")});
  auto& resistances = input.figures.resistances;
  resistances.steps = std::vector{step};
  resistances.repeatability = {{0.5, 1.0, {0.0123, 0.0002, 3}}};
  analysis::CellResistance cell;
  cell.ohm = {0.003, 0.0001, 2.0};
  resistances.cells = std::vector(40, cell);  // more than the page holds
  resistances.contact = analysis::ContactResistance{ohm, {}, {0.002, 0.003, 2.0}, 500};
  PdfDocument document("test", "");
  CHECK(drawn(document, input).pages().size() == 7);
  require_sound(document);
}

TEST_CASE(
    "the same input gives the same bytes, and they are a PDF that says when it was measured") {
  const Folder folder("sagbench-report-same");
  write_test_report(fixture::whole_run(), folder.file("a.pdf"));
  write_test_report(fixture::whole_run(), folder.file("b.pdf"));
  const std::string bytes = content(folder.file("a.pdf"));
  CHECK(bytes == content(folder.file("b.pdf")));
  CHECK(bytes.find("D:20260301101500Z") != std::string::npos);
  CHECK(bytes.find("/Lang (en)") != std::string::npos);
  CHECK(folder.entries() == 2);
}

TEST_CASE("a target that cannot be written leaves nothing behind and is named") {
  const Folder folder("sagbench-report-target");
  SECTION("the folder is missing") {
    const auto path = folder.file("missing/a.pdf");
    REQUIRE_THROWS_AS(write_test_report(fixture::empty_run(), path), ReportError);
  }
  SECTION("the target is a folder") {
    fs::create_directories(folder.file("a.pdf"));
    REQUIRE_THROWS_AS(write_test_report(fixture::empty_run(), folder.file("a.pdf")), ReportError);
    CHECK(folder.entries() == 1);
    return;
  }
  CHECK(folder.entries() == 0);
}

TEST_CASE("a report replaces the one before it") {
  const Folder folder("sagbench-report-replace");
  const auto path = folder.file("a.pdf");
  std::ofstream(path) << "old";
  write_test_report(fixture::empty_run(), path);
  CHECK(content(path).substr(0, 5) == "%PDF-");
  CHECK(folder.entries() == 1);
}

TEST_CASE("names outside Latin-1 and spoilt names are drawn") {
  auto input = fixture::empty_run();
  input.recording.pack.name =
      GENERATE("\xD0\x9F\xD0\xBE\xD0\xBB\xD0\xB5", "\xCE\x91\xCE\xB8\xCE\xAE\xCE\xBD\xCE\xB1",
               "\xC5\x81\xC3\xB3\xC4\x8F\xC5\xBA", "A\x01\x1B[31m\x7F\xFF", "");
  PdfDocument document(input.recording.pack.name, "");
  drawn(document, input);
  require_sound(document);
  CHECK(document.bytes().size() > 1000);
}

TEST_CASE("a comparison is sound on as many pages as it takes") {
  const int count = GENERATE(1, 3, 30, 120);
  ComparisonRequest request;
  for (int i = 0; i < count; ++i) {
    request.runs.push_back(digest_of(fixture::run_with(
        "Pack with a rather long name, number " + std::to_string(i), 9.0 - 0.01 * i, 0.02)));
  }
  PdfDocument document("test", "");
  draw_comparison(document, request);
  CHECK((document.pages().size() == 1) == (count <= 3));
  require_sound(document);
}

TEST_CASE("a comparison of unlike runs and of runs without figures is sound") {
  ComparisonRequest request{
      {digest_of(fixture::whole_run()), digest_of(fixture::aborted_run()),
       digest_of(fixture::imported_run()), digest_of(fixture::empty_run()),
       digest_of(fixture::crowded_run())},
      GENERATE(SortBy::usable_qrp, SortBy::usable_qro, SortBy::energy_per_kg,
               SortBy::capacity_per_price, SortBy::capacity, SortBy::resistance, SortBy::age)};
  PdfDocument document("test", "");
  draw_comparison(document, request);
  require_sound(document);
}

TEST_CASE("a comparison of nothing is refused") {
  REQUIRE_THROWS_AS(write_comparison({}, "nothing.pdf"), ReportError);
}

}  // namespace
}  // namespace sagbench::reports
