#include "reports/photo_part.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "reports/flow.hpp"
#include "reports/pdf_picture.hpp"
#include "reports/report_page.hpp"
#include "reports/sha256.hpp"

namespace sagbench::reports {
namespace {

using analysis::Finding;

/// ISO 8601 begins with it.
std::string day_of(const std::string& utc) {
  constexpr std::size_t kDay = 10;
  return utc.substr(0, kDay);
}

Finding<Picture> drawable(const Photo& photo, const std::string& data) {
  if (hash_of(data) != photo.sha256)
    return Finding<Picture>::missing("its bytes are not those that were added");
  auto picture = picture_in(data);
  constexpr int kOfPrinters = 4;
  if (picture && picture->channels == kOfPrinters)
    return Finding<Picture>::missing("it has the four colours of a printing press");
  return picture;
}

/// Below the heading, as large as it fits, but no pixel larger than a point.
Rect box_for(const Picture& picture, const Rect& room) {
  const Rect whole = upright(picture);
  const double scale = std::min({1.0, room.width / whole.width, room.height / whole.height});
  const double width = scale * whole.width;
  return {room.x + (room.width - width) / 2, room.y, width, scale * whole.height};
}

std::string words_on(const Photo& photo, std::size_t others) {
  constexpr std::size_t kDigits = 16;
  std::string words = fmt::format("{}, added {}, SHA-256 {}...", photo.name, day_of(photo.utc),
                                  photo.sha256.substr(0, kDigits));
  if (others > 0) words += fmt::format("; the archive has {} more of this run", others);
  return words;
}

double draw_below(Canvas& canvas, const Rect& area, double top, const std::string& text,
                  const Font& font) {
  constexpr std::size_t kMostLines = 3;
  return draw_lines(canvas, {area.x, top}, wrap_at_most(canvas, text, font, area.width, kMostLines),
                    font);
}

/// Returns where the next thing may begin.
double draw_photo(PdfDocument& document, Canvas& canvas, const Rect& area,
                  const ReportInput& input) {
  constexpr double kMostOfPage = 0.55;
  const Photo& photo = input.record.photos.back();
  double top = draw_heading(canvas, {area.x, area.y}, area.width, "The pack");
  auto picture = drawable(photo, input.photo_data);
  if (picture) {
    const Rect box = box_for(*picture, {area.x, top, area.width, kMostOfPage * area.height});
    if (document.draw_picture(*picture, input.photo_data, box)) {
      canvas.claim(box, "photo");
      top = box.bottom() + 2 * kGrid;
    } else {
      picture = Finding<Picture>::missing("it cannot be decoded");
    }
  }
  if (!picture)
    top = draw_below(canvas, area, top,
                     fmt::format("The photo cannot be shown here: {}.", picture.why()), kBody);
  if (!photo.caption.empty()) top = draw_below(canvas, area, top, photo.caption, kBodyBold);
  return draw_below(canvas, area, top, words_on(photo, input.record.photos.size() - 1), kSmall) +
         2 * kGrid;
}

void draw_remarks(PdfDocument& document, Canvas& canvas, const Rect& room,
                  const std::vector<Remark>& remarks) {
  Flow flow(document, canvas, {room});
  flow.heading("What was said of this run afterwards");
  for (const Remark& remark : remarks) flow.entry(day_of(remark.utc), remark.text);
  flow.finish();
}

}  // namespace

void draw_photo_part(PdfDocument& document, const ReportInput& input) {
  const RunRecord& record = input.record;
  if (record.photos.empty() && record.remarks.empty()) return;
  Canvas& canvas = document.add_page();
  Rect area = content_area(canvas);
  if (!record.photos.empty()) {
    const double top = draw_photo(document, canvas, area, input);
    area = {area.x, top, area.width, area.bottom() - top};
  }
  if (!record.remarks.empty()) draw_remarks(document, canvas, area, record.remarks);
}

}  // namespace sagbench::reports
