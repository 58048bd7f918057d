// The report as a document: what is attached, where outline and links lead, what readers are told.
#include "reports/pdf_document.hpp"

#define POINTERHOLDER_TRANSITION 4
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFOutlineDocumentHelper.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <string>
#include <vector>

#include "catch.hpp"
#include "report_fixture.hpp"
#include "reports/number_text.hpp"
#include "reports/pdf_attachments.hpp"
#include "reports/report_pages.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {
namespace {

std::string report_of(const ReportInput& input, Paper paper = Paper::a4) {
  PdfDocument document("Battery test: " + input.recording.pack.name, input.record.header.utc,
                       paper);
  draw_test_report(document, input);
  return document.bytes();
}

/// Parsed by another library than the one that drew it.
class Parsed {
 public:
  explicit Parsed(std::string bytes) : bytes_(std::move(bytes)) {
    pdf_.processMemoryFile("report", bytes_.data(), bytes_.size());
  }
  QPDF& operator*() { return pdf_; }
  QPDF* operator->() { return &pdf_; }

 private:
  std::string bytes_;
  QPDF pdf_;
};

class File {
 public:
  explicit File(const std::string& bytes)
      : path_(std::filesystem::temp_directory_path() /
              ("sagbench-attachments-" + std::to_string(::getpid()) + ".pdf")) {
    std::ofstream(path_, std::ios::binary) << bytes;
  }
  ~File() { std::filesystem::remove(path_); }
  std::string path() const { return path_.string(); }

 private:
  std::filesystem::path path_;
};

std::vector<std::string> titles(const std::vector<QPDFOutlineObjectHelper>& entries) {
  std::vector<std::string> found;
  for (QPDFOutlineObjectHelper entry : entries) found.push_back(entry.getTitle());
  return found;
}

bool holds(const std::vector<std::string>& list, const std::string& what) {
  return std::ranges::find(list, what) != list.end();
}

TEST_CASE("the run is attached to its report, byte for byte, and told to be its source") {
  const ReportInput input = fixture::whole_run();
  const std::string report = report_of(input);
  CHECK(report == report_of(input));
  const File file(report);
  std::map<std::string, std::string> expected;
  for (const RunFile& kept : run_files(input.record, input.recording.samples))
    expected[kept.name] = kept.content;
  CHECK(expected.contains("run.json"));
  CHECK(attachments_of(file.path()) == expected);

  Parsed pdf(report);
  QPDFObjectHandle associated = pdf->getRoot().getKey("/AF");
  REQUIRE(associated.getArrayNItems() == static_cast<int>(expected.size()));
  for (QPDFObjectHandle entry : associated.getArrayAsVector()) {
    CHECK(entry.getKey("/AFRelationship").getName() == "/Source");
    CHECK_FALSE(entry.getKey("/Desc").getUTF8Value().empty());
  }
}

TEST_CASE("a run that has not ended is not handed out") {
  ReportInput input = fixture::whole_run();
  input.record.closing.end = RunEnd::running;
  const File file(report_of(input));
  CHECK(attachments_of(file.path()).empty());
}

TEST_CASE("the outline names every part, and each entry leads to a page") {
  Parsed pdf(report_of(fixture::whole_run()));
  QPDFOutlineDocumentHelper outline(*pdf);
  auto parts = outline.getTopLevelOutlines();
  REQUIRE(parts.size() >= 5);
  CHECK(parts.front().getTitle() == "At a glance");
  const auto all = titles(parts);
  for (const char* part : {"Evidence", "All figures", "The run's record"}) CHECK(holds(all, part));
  const auto of_first = titles(parts.front().getKids());
  for (const char* section : {"Real capacity against the label", "Cautions"})
    CHECK(holds(of_first, section));
  for (QPDFOutlineObjectHelper part : parts) {
    CHECK(part.getDestPage().isDictionary());
    for (QPDFOutlineObjectHelper section : part.getKids())
      CHECK(section.getDestPage().isDictionary());
  }
}

TEST_CASE("page one leads to its evidence, and nowhere that is not there") {
  const ReportInput input = GENERATE(fixture::whole_run(), fixture::empty_run());
  Parsed pdf(report_of(input));
  const auto pages = QPDFPageDocumentHelper(*pdf).getAllPages();
  std::size_t links = 0;
  for (QPDFPageObjectHelper page : pages) {
    for (QPDFAnnotationObjectHelper link : page.getAnnotations("/Link")) {
      QPDFObjectHandle to = link.getObjectHandle().getKey("/Dest").getArrayItem(0);
      CHECK(std::ranges::any_of(pages, [&](QPDFPageObjectHelper other) {
        return other.getObjectHandle().getObjGen() == to.getObjGen();
      }));
      CHECK(to.getObjGen() != page.getObjectHandle().getObjGen());
      ++links;
    }
  }
  CHECK(links >= (input.recording.samples.empty() ? 1U : 3U));
}

TEST_CASE("readers are told title, author and language, and show the title") {
  Parsed pdf(report_of(fixture::whole_run()));
  QPDFObjectHandle about = pdf->getTrailer().getKey("/Info");
  CHECK(about.getKey("/Title").getUTF8Value() == "Battery test: Field day pack A");
  CHECK(about.getKey("/Author").getUTF8Value() == "sagbench");
  CHECK(pdf->getRoot().getKey("/Lang").getUTF8Value() == "en");
  CHECK(pdf->getRoot().getKey("/ViewerPreferences").getKey("/DisplayDocTitle").getBoolValue());
}

TEST_CASE("every kind of run has a sound layout on Letter paper") {
  const auto made = GENERATE(&fixture::whole_run, &fixture::aborted_run, &fixture::imported_run,
                             &fixture::empty_run, &fixture::crowded_run);
  PdfDocument document("test", "", Paper::letter);
  draw_test_report(document, made());
  for (const auto& fault : document.layout_faults()) FAIL_CHECK(fault);
  CHECK(document.pages().front().height() == 792.0);
}

TEST_CASE("a report with decimal commas has a sound layout") {
  const DecimalSign comma(',');
  PdfDocument document("test", "");
  draw_test_report(document, fixture::crowded_run());
  for (const auto& fault : document.layout_faults()) FAIL_CHECK(fault);
}

std::string refusal(const std::string& bytes, std::size_t most_bytes = kMostAttachedBytes) {
  const File file(bytes);
  try {
    attachments_of(file.path(), most_bytes);
  } catch (const ReportError& error) {
    const std::string line = error.what();
    CHECK(line.starts_with(file.path()));
    CHECK(line.find('\n') == std::string::npos);
    return line;
  }
  return "taken";
}

TEST_CASE("what is no whole PDF is refused by one line") {
  const std::string report = report_of(fixture::whole_run());
  CHECK(refusal("").find("is no PDF") != std::string::npos);
  CHECK(refusal("%PDF-1.7\nnothing of the kind\n").find("is no PDF") != std::string::npos);
  CHECK(refusal(report.substr(0, report.size() / 2)).find("is no PDF") != std::string::npos);
  std::string damaged = report;
  const auto stream = damaged.find("stream", damaged.find("/EmbeddedFile"));
  for (std::size_t i = 40; i < 80; ++i) damaged[stream + i] ^= 0x55;
  CHECK(refusal(damaged).find("is a damaged PDF") != std::string::npos);
}

TEST_CASE("a report that is not there, or on a disk that fails, is said to be none") {
  const std::string path = GENERATE("/nowhere/report.pdf", "/proc/self/mem");
  std::string said;
  try {
    attachments_of(path);
  } catch (const ReportError& error) {
    said = error.what();
  }
  CHECK(said ==
        path +
            ": cannot be opened or read; a report of sagbench with its run attached is expected");
}

TEST_CASE("a report that holds more than anybody measures is not unpacked to its end") {
  const std::string report = report_of(fixture::whole_run());
  const File file(report);
  std::size_t inside = 0;
  for (const auto& [name, content] : attachments_of(file.path())) inside += content.size();
  CHECK(refusal(report, inside) == "taken");
  CHECK(refusal(report, inside - 1).find(": holds more than ") != std::string::npos);
  CHECK(refusal(report, 1'000).find(": holds more than 0.001 MB; ") != std::string::npos);
}

}  // namespace
}  // namespace sagbench::reports
