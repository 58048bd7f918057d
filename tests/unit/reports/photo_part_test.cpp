// The page of what was added to a run afterwards.
#include "reports/photo_part.hpp"

#include "catch.hpp"
#include "picture_fixture.hpp"
#include "report_fixture.hpp"

namespace sagbench::reports {
namespace {

using testing::exif;
using testing::jpeg_frame;
using testing::png;
using testing::png_of;
using testing::quarters_jpeg;

ReportInput with_photo(const std::string& data, const std::string& caption = "Seen from above") {
  ReportInput input = fixture::empty_run();
  Photo photo = *photo_of("front.jpg", data);
  photo.utc = "2026-03-02T10:00:00.000Z";
  photo.caption = caption;
  photo.data.clear();
  input.record.photos = {photo};
  input.photo_data = data;
  return input;
}

/// A page alone, sound in its layout.
std::string page_of(const ReportInput& input) {
  PdfDocument document("test", "");
  draw_photo_part(document, input);
  REQUIRE(document.pages().size() == 1);
  for (const auto& fault : document.layout_faults()) FAIL_CHECK(fault);
  return document.bytes();
}

bool has_image(const std::string& pdf) {
  return pdf.find("/Subtype /Image") != std::string::npos;
}

TEST_CASE("a run without photos and remarks has no page of them") {
  PdfDocument document("test", "");
  draw_photo_part(document, fixture::empty_run());
  CHECK(document.pages().empty());
}

TEST_CASE("a photo is drawn, the same every time") {
  const std::string data = GENERATE_COPY(quarters_jpeg(), png(300, 20), png(20, 300), png(2, 1));
  const ReportInput input = with_photo(data);
  const std::string pdf = page_of(input);
  CHECK(has_image(pdf));
  CHECK(pdf == page_of(input));
}

TEST_CASE("a photo goes into the report without what the camera wrote beside it") {
  std::string data = quarters_jpeg();
  data.insert(2, exif(6));
  const std::string pdf = page_of(with_photo(data));
  CHECK(has_image(pdf));
  CHECK(pdf.find("taken at home") == std::string::npos);
}

TEST_CASE("a photo that cannot be drawn does not keep the report from being made") {
  SECTION("its bytes are other ones") {
    ReportInput input = with_photo(png(5, 3));
    input.photo_data = png(6, 3);
    CHECK_FALSE(has_image(page_of(input)));
  }
  SECTION("they are gone") {
    ReportInput input = with_photo(png(5, 3));
    input.photo_data.clear();
    CHECK_FALSE(has_image(page_of(input)));
  }
  SECTION("a JPEG of four colours") {
    CHECK_FALSE(has_image(page_of(with_photo(jpeg_frame(40, 30, 4)))));
  }
  SECTION("a PNG without its pixels") {
    CHECK_FALSE(has_image(page_of(with_photo(png_of(40, 30, "few")))));
  }
}

TEST_CASE("remarks and captions are text, whatever they hold") {
  const std::string text = GENERATE(std::string("It smelt."), std::string(500, 'w'),
                                    std::string("A\x1B[31m\xFF\xE2\x80\xAE"), std::string());
  ReportInput input = with_photo(quarters_jpeg(), text.substr(0, 200));
  input.record.photos[0].name = text;
  input.record.remarks.assign(12, {"2026-03-02T10:00:00.000Z", text});
  CHECK(has_image(page_of(input)));
  input.record.photos.clear();
  CHECK_FALSE(has_image(page_of(input)));
}

}  // namespace
}  // namespace sagbench::reports
