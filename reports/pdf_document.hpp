#pragma once
// A PDF in memory: owns the library's document, its embedded typeface and its pages.

#include <hpdf.h>

#include <list>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "reports/attachment.hpp"
#include "reports/pdf_canvas.hpp"
#include "reports/pdf_outline.hpp"
#include "reports/picture.hpp"
#include "reports/report_options.hpp"

namespace sagbench::reports {

/// Every member may throw ReportError. Same calls, same bytes: no clock and no random number goes
/// in.
class PdfDocument {
 public:
  /// `utc`: ISO 8601, becomes the creation date; anything else leaves the date out.
  PdfDocument(const std::string& title, const std::string& utc, Paper paper = Paper::a4);
  PdfDocument(const PdfDocument&) = delete;
  PdfDocument& operator=(const PdfDocument&) = delete;

  /// The reference stays valid until the document goes.
  Canvas& add_page();
  std::list<PdfCanvas>& pages() noexcept { return pages_; }
  const std::list<PdfCanvas>& pages() const noexcept { return pages_; }
  const Typeface& typeface() const noexcept { return *typeface_; }
  /// PdfTypeface::shortcomings of what has been drawn.
  std::vector<std::string> shortcomings() const { return typeface_->shortcomings(); }

  /// On the last page. False where it cannot be drawn, and then nothing was. Precondition:
  /// `picture` is what picture_in(bytes) found.
  bool draw_picture(const Picture& picture, std::string_view bytes, const Rect& box);

  /// Throws what the library reported since the document was made.
  void check() const;
  /// Writes "page 5" where pages refer to a mark, with a link to it. Once, when all pages are
  /// there.
  void draw_references();
  /// The file carries `files` inside.
  void attach(std::vector<Attachment> files) { attached_ = std::move(files); }
  /// The finished file, with an outline of all marks. Call once, last.
  std::string bytes();

  /// Canvas::layout_faults of all pages, each with its page number.
  std::vector<std::string> layout_faults() const;

 private:
  // The library calls back through C frames, which an exception must not cross: the handler only
  // takes notes.
  struct Notes {
    HPDF_STATUS error = HPDF_OK;
    HPDF_STATUS detail = HPDF_OK;
  };
  struct Release {
    void operator()(HPDF_Doc document) const noexcept { HPDF_Free(document); }
  };
  static void take_note(HPDF_STATUS error, HPDF_STATUS detail, void* notes);

  PdfFont load_font(const std::string& path) const;
  std::optional<PagePlace> find(const std::string& title) const;
  void describe(const std::string& title, const std::string& utc);

  std::unique_ptr<Notes> notes_;
  std::unique_ptr<HPDF_Doc_Rec, Release> document_;
  std::optional<PdfTypeface> typeface_;  // made when the document is ready for it
  Paper paper_;
  std::list<PdfCanvas> pages_;
  std::vector<Attachment> attached_;
};

}  // namespace sagbench::reports
