#include "reports/attachment.hpp"

#include "reports/deflate.hpp"

namespace sagbench::reports {

Attachment attachment_of(const RunFile& file) {
  constexpr int kLevel = 1;  // higher ones take several times as long for an eighth of the size
  return {file.name, file.mime, file.what, file.content.size(), deflated(file.content, kLevel)};
}

}  // namespace sagbench::reports
