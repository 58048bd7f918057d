#include "reports/pdf_document.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <string_view>

#include "reports/iso_date.hpp"
#include "reports/pdf_attachments.hpp"
#include "reports/pdf_picture.hpp"
#include "reports/printable_text.hpp"
#include "reports/test_report.hpp"
#include "reports/unicode_text.hpp"

namespace sagbench::reports {

void PdfDocument::take_note(HPDF_STATUS error, HPDF_STATUS detail, void* notes) {
  auto& kept = *static_cast<Notes*>(notes);
  if (kept.error == HPDF_OK) kept = {error, detail};  // the first one is the cause
}

PdfDocument::PdfDocument(const std::string& title, const std::string& utc, Paper paper)
    : notes_(std::make_unique<Notes>()),
      document_(HPDF_New(&take_note, notes_.get())),
      paper_(paper) {
  if (!document_) throw ReportError("the PDF library could not start: out of memory");
  HPDF_SetCompressionMode(document_.get(), HPDF_COMP_IMAGE);  // with_attachments() does the rest
  HPDF_UseUTFEncodings(document_.get());
  HPDF_SetCurrentEncoder(document_.get(), "UTF-8");
  typeface_.emplace([this](const std::string& path) { return load_font(path); });
  describe(title, utc);
  check();
}

PdfFont PdfDocument::load_font(const std::string& path) const {
  PdfFont font(document_.get(), path);
  if (font.handle() == nullptr)
    throw ReportError(
        fmt::format("{}: the PDF library cannot use this typeface file (error {:#x}); install its "
                    "package anew",
                    path, notes_->error));
  check();
  return font;
}

void PdfDocument::describe(const std::string& title, const std::string& utc) {
  constexpr std::size_t kLongestTitle = 400;  // bytes; a cut character becomes a replacement mark
  const std::string shown =
      in_basic_plane(printable(std::string_view(title).substr(0, kLongestTitle)));
  HPDF_SetInfoAttr(document_.get(), HPDF_INFO_TITLE, shown.c_str());
  HPDF_SetInfoAttr(document_.get(), HPDF_INFO_AUTHOR, "sagbench");
  HPDF_SetInfoAttr(document_.get(), HPDF_INFO_CREATOR, "sagbench");
  if (const auto at = iso_time(utc)) {
    const HPDF_Date date{
        at->date.year, at->date.month, at->date.day, at->hour, at->minute, at->second, 'Z', 0, 0};
    HPDF_SetInfoDateAttr(document_.get(), HPDF_INFO_CREATION_DATE, date);
  }
  HPDF_Dict_Add(document_->catalog, "Lang",
                HPDF_String_New(document_->mmgr, "en", nullptr));  // screen readers
  const HPDF_Dict preferences = HPDF_Dict_New(document_->mmgr);
  HPDF_Dict_Add(document_->catalog, "ViewerPreferences", preferences);
  HPDF_Dict_AddBoolean(preferences, "DisplayDocTitle", HPDF_TRUE);  // not the file's name
}

Canvas& PdfDocument::add_page() {
  const HPDF_Page page = HPDF_AddPage(document_.get());
  check();
  const auto size = paper_ == Paper::letter ? HPDF_PAGE_SIZE_LETTER : HPDF_PAGE_SIZE_A4;
  HPDF_Page_SetSize(page, size, HPDF_PAGE_PORTRAIT);
  check();
  return pages_.emplace_back(page, *typeface_);
}

bool PdfDocument::draw_picture(const Picture& picture, std::string_view bytes, const Rect& box) {
  check();
  const HPDF_Image image = load_image(document_.get(), picture, bytes);
  if (image == nullptr || notes_->error != HPDF_OK) {
    *notes_ = {};
    HPDF_ResetError(document_.get());
    return false;
  }
  pages_.back().put_image(image, box, picture.orientation);
  check();
  return true;
}

void PdfDocument::check() const {
  if (notes_->error == HPDF_OK) return;
  throw ReportError(fmt::format("the PDF library reported error {:#06x} (detail {})", notes_->error,
                                notes_->detail));
}

std::optional<PagePlace> PdfDocument::find(const std::string& title) const {
  PagePlace place;
  for (const Canvas& page : pages_) {
    const auto& marks = page.marks().marks;
    const auto mark = std::ranges::find(marks, title, &Mark::title);
    if (mark != marks.end()) return PagePlace{place.page, mark->top};
    ++place.page;
  }
  return std::nullopt;
}

void PdfDocument::draw_references() {
  constexpr Font kReference{6.6, Weight::regular, kBlue};
  constexpr double kAround = 3.0;
  std::size_t number = 0;
  for (Canvas& page : pages_) {
    for (const Reference& reference : page.marks().references) {
      const auto place = find(reference.title);
      if (!place) continue;  // this run has nothing to show there
      const std::string words = fmt::format("page {}", place->page + 1);
      const double width = page.text_width(words, kReference);
      const Point& end = reference.right_end;
      page.text(end, words, kReference, Align::right);
      const Rect area{end.x - width, end.y - kReference.size, width, kReference.size};
      add_link(document_.get(), number, area.inset(-kAround), *place);
    }
    ++number;
  }
  check();
}

std::string PdfDocument::bytes() {
  add_outline(document_.get(), pages_);
  check();
  HPDF_SaveToStream(document_.get());
  check();
  std::string result(HPDF_GetStreamSize(document_.get()), '\0');
  auto size = static_cast<HPDF_UINT32>(result.size());
  HPDF_ReadFromStream(document_.get(), reinterpret_cast<HPDF_BYTE*>(result.data()), &size);
  check();
  result.resize(size);
  return with_attachments(result, attached_);
}

std::vector<std::string> PdfDocument::layout_faults() const {
  std::vector<std::string> faults;
  std::size_t number = 0;
  for (const Canvas& page : pages_) {
    ++number;
    for (const std::string& fault : page.layout_faults()) {
      faults.push_back(fmt::format("page {}: {}", number, fault));
    }
  }
  return faults;
}

}  // namespace sagbench::reports
