// How to connect: drawn without faults for whatever there is to connect, the same as in the docs.

#include "reports/wiring_page.hpp"

#include <cstdlib>
#include <fstream>
#include <iterator>

#include "bench/commands/wiring_sheet.hpp"
#include "catch.hpp"
#include "reports/pdf_document.hpp"

using namespace sagbench;

namespace {

std::string file(const std::string& path) {
  std::ifstream stream(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), {}};
}

analysis::Pack pack_of(int series) {
  analysis::Pack pack;
  pack.name = "Hilltop";
  pack.series = series;
  pack.rated_capacity_ah = 10;
  pack.fuse_a = 25;
  return pack;
}

bench::Bench bench_with(std::vector<int> cells, std::optional<int> temperature) {
  bench::Bench bench;
  bench.name = "Kitchen table";
  bench.load.max_current_a = 30;
  bench.leads_ohm = 0.01;
  bench.meter.emplace();
  bench.meter->channels = {.pack = 101, .cells = std::move(cells), .temperature = temperature};
  return bench;
}

std::vector<std::string> faults_of(const reports::WiringSheet& sheet, reports::Paper paper) {
  reports::PdfDocument document(sheet.title, "", paper);
  reports::draw_wiring_page(document, sheet, "test");
  REQUIRE(document.pages().size() == 1);
  return document.layout_faults();
}

}  // namespace

TEST_CASE("one page, nothing over anything, whatever there is to connect") {
  const auto paper = GENERATE(reports::Paper::a4, reports::Paper::letter);
  for (const int series : {1, 2, 4, 6, 7, 10, 16}) {
    CAPTURE(series);
    std::vector<int> channels;
    for (int i = 0; i < series; ++i) channels.push_back(102 + i);
    CHECK(
        faults_of(bench::wiring_sheet(pack_of(series), bench_with(channels, 120)), paper).empty());
    CHECK(faults_of(bench::wiring_sheet(pack_of(series), bench_with({}, {})), paper).empty());
    bench::Bench alone;
    alone.load.max_current_a = 30;
    CHECK(faults_of(bench::wiring_sheet(pack_of(series), alone), paper).empty());
  }
  CHECK(faults_of(bench::usual_wiring_sheet(), paper).empty());
}

TEST_CASE("the words say what the picture shows") {
  const auto words = words_of(bench::wiring_sheet(pack_of(2), bench_with({102, 103}, 111)).wiring);
  for (const char* part :
       {"a 25 A fuse", "(channel 101)", "cell 1: 102, cell 2: 103", "channel 111"})
    CHECK(words.find(part) != std::string::npos);
  bench::Bench alone;
  CHECK(
      words_of(bench::wiring_sheet(pack_of(2), alone).wiring).find("the load's sense terminals") !=
      std::string::npos);
}

TEST_CASE("drop and heat of the leads are those of the largest current that is allowed") {
  const auto sheet = bench::wiring_sheet(pack_of(4), bench_with({}, {}));
  // 25 A fuse, 10 milliohm: 0.25 V and 6.25 W by Ohm's law.
  REQUIRE(sheet.figures.size() == 1);
  CHECK(sheet.figures[0].find("at 25 A they drop 0.25 V and turn 6.2 W into heat") !=
        std::string::npos);
}

TEST_CASE("docs/guide/four-terminal.svg is the program's own picture") {
  const std::string path = std::string(SAGBENCH_TEST_DATA) + "/../docs/guide/four-terminal.svg";
  const std::string picture = reports::wiring_svg(bench::usual_wiring_sheet());
  if (std::getenv("SAGBENCH_WRITE_DOCS") != nullptr)
    std::ofstream(path, std::ios::binary) << picture;
  INFO("SAGBENCH_WRITE_DOCS=1 with this test draws it anew");
  CHECK(file(path) == picture);
}
