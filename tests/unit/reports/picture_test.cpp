// Picture files are told by their content, and what cannot be shown is told as such.
#include "reports/picture.hpp"

#include "catch.hpp"
#include "picture_fixture.hpp"
#include "reports/pdf_picture.hpp"
#include "reports/png_pixels.hpp"

namespace sagbench::reports {
namespace {

using testing::exif;
using testing::jpeg_frame;
using testing::jpeg_segment;
using testing::png;
using testing::png_chunk;
using testing::png_of;
using testing::quarters_jpeg;

bool tells(const analysis::Finding<Picture>& found, std::string_view word) {
  return !found && found.why().find(word) != std::string::npos;
}

TEST_CASE("A JPEG and a PNG tell their size") {
  const auto jpeg = picture_in(quarters_jpeg());
  REQUIRE(jpeg);
  CHECK(jpeg->media_type == "image/jpeg");
  CHECK(jpeg->width == 48);
  CHECK(jpeg->height == 32);
  CHECK(jpeg->channels == 3);
  CHECK(jpeg->orientation == 1);
  const auto found = picture_in(png(5, 3));
  REQUIRE(found);
  CHECK(found->media_type == "image/png");
  CHECK(found->width == 5);
  CHECK(found->height == 3);
}

TEST_CASE("A picture that breaks off anywhere is none") {
  for (const std::string& whole : {quarters_jpeg(), png(5, 3), jpeg_frame(4, 4, 3, exif(6))}) {
    REQUIRE(picture_in(whole));
    for (std::size_t size = 0; size < whole.size(); ++size) {
      CAPTURE(size);
      REQUIRE_FALSE(picture_in(whole.substr(0, size)));
    }
    CHECK(picture_in(whole + "what a camera put behind it"));
  }
}

TEST_CASE("No bytes that were changed are read beyond their end") {
  for (const std::string& whole : {quarters_jpeg(), png(5, 3), jpeg_frame(4, 4, 3, exif(6, true))})
    for (std::size_t at = 0; at < whole.size(); ++at)
      for (const char value : {'\0', '\x7F', '\xFF'}) {
        std::string changed = whole;
        changed[at] = value;
        const auto found = picture_in(changed);
        REQUIRE((!found || found->orientation <= 8));
        if (found && found->media_type == "image/jpeg") REQUIRE(picture_in(bare_jpeg(changed)));
      }
}

TEST_CASE("What is no picture says so") {
  CHECK(tells(picture_in("time_s,voltage_V\n0,13.2\n"), "neither a JPEG nor a PNG"));
  CHECK(tells(picture_in(""), "neither"));
  CHECK(tells(picture_in(jpeg_frame(0, 4)), "without pixels"));
  CHECK(tells(picture_in(jpeg_frame(10000, 10000)), "at most 50 million"));
  CHECK(tells(picture_in(jpeg_frame(4, 4, 3, "", 0xC3)), "few programs"));
  std::string damaged = png(5, 3);
  damaged[damaged.size() - 30] ^= 1;
  CHECK(tells(picture_in(damaged), "damaged"));
}

TEST_CASE("How the camera was held is known in either order of bytes") {
  const auto orientation =
      GENERATE(std::uint16_t{1}, std::uint16_t{3}, std::uint16_t{6}, std::uint16_t{8});
  for (const bool lowest_first : {false, true}) {
    const auto found = picture_in(jpeg_frame(40, 30, 3, exif(orientation, lowest_first)));
    REQUIRE(found);
    CHECK(found->orientation == orientation);
    CHECK(upright(*found).width == (orientation >= 5 ? 30 : 40));
  }
  CHECK(picture_in(jpeg_frame(40, 30, 3, exif(9)))->orientation == 1);
}

// TIFF 6.0, tag 274: where the stored picture's row 0 and column 0 are to be seen.
TEST_CASE("Every orientation puts row 0 and column 0 where the standard says") {
  struct Seen {
    int orientation;
    double row_x, row_y;        // the middle of row 0
    double column_x, column_y;  // of column 0
  };
  const Seen seen =
      GENERATE(Seen{1, 0.5, 1, 0, 0.5}, Seen{2, 0.5, 1, 1, 0.5}, Seen{3, 0.5, 0, 1, 0.5},
               Seen{4, 0.5, 0, 0, 0.5}, Seen{5, 0, 0.5, 0.5, 1}, Seen{6, 1, 0.5, 0.5, 1},
               Seen{7, 1, 0.5, 0.5, 0}, Seen{8, 0, 0.5, 0.5, 0});
  CAPTURE(seen.orientation);
  const Rect box{100, 200, 30, 40};  // y goes upwards
  const auto [a, b, c, d, e, f] = placed(box, seen.orientation);
  // An image is the square from 0 to 1 of both; its row 0 is on top.
  CHECK(a * 0.5 + c * 1 + e == Approx(box.x + seen.row_x * box.width));
  CHECK(b * 0.5 + d * 1 + f == Approx(box.y + seen.row_y * box.height));
  CHECK(a * 0 + c * 0.5 + e == Approx(box.x + seen.column_x * box.width));
  CHECK(b * 0 + d * 0.5 + f == Approx(box.y + seen.column_y * box.height));
}

TEST_CASE("What a camera writes beside the picture does not go on, the picture does") {
  const std::string jfif = jpeg_segment(0xE0, std::string("JFIF\0", 5) + "rest");
  const std::string with = jpeg_frame(
      4, 4, 3, jfif + exif(6) + jpeg_segment(0xFE, "a comment") + jpeg_segment(0xEE, "Adobe"));
  const std::string bare = bare_jpeg(with + "trailer");
  CHECK(bare == jpeg_frame(4, 4, 3, jfif + jpeg_segment(0xEE, "Adobe")));
}

TEST_CASE("PNG pixels come as they are, or as the mean of blocks") {
  const auto same = png_pixels(png(5, 3), 100);
  REQUIRE(same);
  CHECK(same->width == 5);
  CHECK(same->height == 3);
  CHECK(same->rgb[0] == 0x20);
  CHECK(same->rgb.back() == 0xA0);
  const std::string rows("\0\x00\x00\x00\x10\x20\x30\0\x20\x40\x60\x30\x60\x90", 14);
  const auto mean = png_pixels(png_of(2, 2, rows), 1);
  REQUIRE(mean);
  CHECK(mean->width == 1);
  CHECK(mean->height == 1);
  CHECK(mean->rgb == std::vector<std::uint8_t>{0x18, 0x30, 0x48});
}

TEST_CASE("A PNG whose frame is whole and whose pixels are not gives none") {
  CHECK_FALSE(png_pixels(png_of(50, 50, "too few"), 100));
  CHECK_FALSE(png_pixels("no PNG", 100));
}

}  // namespace
}  // namespace sagbench::reports
