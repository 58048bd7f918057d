#include "reports/pdf_document.hpp"

#include <fmt/format.h>

#include <cstddef>
#include <string_view>

#include "reports/font_files.hpp"
#include "reports/iso_date.hpp"
#include "reports/pdf_picture.hpp"
#include "reports/printable_text.hpp"
#include "reports/test_report.hpp"
#include "reports/to_unicode.hpp"

namespace sagbench::reports {

void PdfDocument::take_note(HPDF_STATUS error, HPDF_STATUS detail, void* notes) {
  auto& kept = *static_cast<Notes*>(notes);
  if (kept.error == HPDF_OK) kept = {error, detail};  // the first one is the cause
}

PdfDocument::PdfDocument(const std::string& title, const std::string& utc)
    : notes_(std::make_unique<Notes>()), document_(HPDF_New(&take_note, notes_.get())) {
  if (!document_) throw ReportError("the PDF library could not start: out of memory");
  HPDF_SetCompressionMode(document_.get(), HPDF_COMP_ALL);
  HPDF_UseUTFEncodings(document_.get());
  HPDF_SetCurrentEncoder(document_.get(), "UTF-8");
  typeface_ = {load_font("DejaVuSans.ttf"), load_font("DejaVuSans-Bold.ttf")};
  describe(title, utc);
  check();
}

HPDF_Font PdfDocument::load_font(const char* file_name) {
  const std::string path = find_font(file_name);
  const char* name = HPDF_LoadTTFontFromFile(document_.get(), path.c_str(), HPDF_TRUE);
  if (name == nullptr) {
    throw ReportError(fmt::format("{}: the PDF library cannot use this typeface file (error {:#x})",
                                  path, notes_->error));
  }
  const HPDF_Font font = HPDF_GetFont(document_.get(), name, "UTF-8");
  check();
  set_to_unicode(document_.get(), font);
  return font;
}

void PdfDocument::describe(const std::string& title, const std::string& utc) {
  constexpr std::size_t kLongestTitle = 400;  // bytes; a cut character becomes a replacement mark
  const std::string shown = printable(std::string_view(title).substr(0, kLongestTitle));
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
}

Canvas& PdfDocument::add_page() {
  const HPDF_Page page = HPDF_AddPage(document_.get());
  check();
  HPDF_Page_SetSize(page, HPDF_PAGE_SIZE_A4, HPDF_PAGE_PORTRAIT);
  check();
  return pages_.emplace_back(page, typeface_);
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

std::string PdfDocument::bytes() {
  check();
  HPDF_SaveToStream(document_.get());
  check();
  std::string result(HPDF_GetStreamSize(document_.get()), '\0');
  auto size = static_cast<HPDF_UINT32>(result.size());
  HPDF_ReadFromStream(document_.get(), reinterpret_cast<HPDF_BYTE*>(result.data()), &size);
  check();
  result.resize(size);
  return result;
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
