#include "reports/pdf_attachments.hpp"

// The library asks whether its old smart pointer is still needed: no.
#define POINTERHOLDER_TRANSITION 4

#include <fmt/format.h>

#include <cstddef>
#include <exception>
#include <memory>
#include <qpdf/Buffer.hh>
#include <qpdf/Pipeline.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFEmbeddedFileDocumentHelper.hh>
#include <qpdf/QPDFExc.hh>
#include <qpdf/QPDFWriter.hh>
#include <stdexcept>
#include <string_view>
#include <utility>

#include "reports/deflate.hpp"
#include "reports/file_content.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {
namespace {

QPDFObjectHandle attached(QPDF& document, const Attachment& file) {
  QPDFObjectHandle stream = QPDFObjectHandle::newStream(&document);
  stream.replaceStreamData(file.deflated, QPDFObjectHandle::newName("/FlateDecode"),
                           QPDFObjectHandle::newNull());
  QPDFObjectHandle about = stream.getDict();
  about.replaceKey("/Type", QPDFObjectHandle::newName("/EmbeddedFile"));
  QPDFObjectHandle parameters = QPDFObjectHandle::newDictionary();
  const auto size = static_cast<long long>(file.size);
  parameters.replaceKey("/Size", QPDFObjectHandle::newInteger(size));
  about.replaceKey("/Params", parameters);
  QPDFEFStreamObjectHelper(stream).setSubtype(file.mime);
  auto specification = QPDFFileSpecObjectHelper::createFileSpec(document, file.name,
                                                                QPDFEFStreamObjectHelper(stream))
                           .setDescription(file.what);
  QPDFObjectHandle entry = specification.getObjectHandle();
  entry.replaceKey("/AFRelationship", QPDFObjectHandle::newName("/Source"));
  return entry;
}

/// Those that are as they were drawn: pages and typefaces, which were half the time of a report of
/// charts when zlib deflated them.
void deflate_streams(QPDF& document) {
  constexpr int kLevel = 5;  // as small as 7 to 0.2 %, in half the time
  for (QPDFObjectHandle object : document.getAllObjects()) {
    if (!object.isStream() || object.getDict().hasKey("/Filter")) continue;
    const auto data = object.getRawStreamData();
    const std::string_view bytes(reinterpret_cast<const char*>(data->getBuffer()), data->getSize());
    object.replaceStreamData(deflated(bytes, kLevel), QPDFObjectHandle::newName("/FlateDecode"),
                             QPDFObjectHandle::newNull());
  }
}

std::string written(QPDF& document) {
  QPDFWriter writer(document);
  writer.setOutputMemory();
  writer.setDeterministicID(true);
  writer.setMinimumPDFVersion("1.7");
  writer.write();
  const std::unique_ptr<Buffer> buffer(writer.getBuffer());
  return {reinterpret_cast<const char*>(buffer->getBuffer()), buffer->getSize()};
}

/// Takes what comes as long as there is room for it: a small file may hold terabytes of zeros.
class Room final : public Pipeline {
 public:
  explicit Room(std::size_t most) : Pipeline("room", nullptr), left_(most) {}

  void write(unsigned char const* data, std::size_t length) override {
    full_ = full_ || length > left_;
    if (full_) throw std::length_error("full");  // or it would go on for hours
    left_ -= length;
    content_.append(reinterpret_cast<const char*>(data), length);
  }
  void finish() override {}
  std::string take() { return std::exchange(content_, {}); }
  std::size_t left() const noexcept { return left_; }
  bool full() const noexcept { return full_; }

 private:
  std::size_t left_;
  bool full_ = false;
  std::string content_;
};

std::string content_of(const std::string& path) {
  auto content = file_content(path);
  if (!content) throw ReportError("cannot be opened or read");
  return *std::move(content);
}

std::map<std::string, std::string> read_attachments(QPDF& document, const std::string& pdf,
                                                    std::size_t most_bytes) {
  constexpr double kMega = 1e6;
  document.setSuppressWarnings(true);
  document.setAttemptRecovery(false);  // half a run is none
  document.processMemoryFile("report", pdf.data(), pdf.size());
  if (document.isEncrypted()) throw ReportError("is encrypted");
  std::map<std::string, std::string> files;
  Room room(most_bytes);
  for (const auto& [name, specification] :
       QPDFEmbeddedFileDocumentHelper(document).getEmbeddedFiles()) {
    specification->getEmbeddedFileStream().pipeStreamData(&room, 0, qpdf_dl_generalized);
    if (room.full())
      throw ReportError(
          fmt::format("holds more than {:g} MB", static_cast<double>(most_bytes) / kMega));
    files.emplace(specification->getFilename(), room.take());
  }
  if (document.anyWarnings()) throw ReportError("is a damaged PDF");
  return files;
}

}  // namespace

std::string with_attachments(const std::string& pdf, const std::vector<Attachment>& attachments) {
  QPDF document;
  document.processMemoryFile("report", pdf.data(), pdf.size());
  deflate_streams(document);
  QPDFEmbeddedFileDocumentHelper names(document);
  QPDFObjectHandle associated = QPDFObjectHandle::newArray();
  for (const Attachment& file : attachments) {
    const QPDFObjectHandle entry = attached(document, file);
    names.replaceEmbeddedFile(file.name, entry);
    associated.appendItem(entry);
  }
  document.getRoot().replaceKey("/AF", associated);
  return written(document);
}

std::map<std::string, std::string> attachments_of(const std::string& path, std::size_t most_bytes) {
  const auto refusal = [&path](const char* why) {
    return ReportError(
        fmt::format("{}: {}; a report of sagbench with its run attached is expected", path, why));
  };
  QPDF document;
  try {
    return read_attachments(document, content_of(path), most_bytes);
  } catch (const ReportError& error) {
    throw refusal(error.what());
  } catch (const QPDFExc& error) {
    const bool locked = error.getErrorCode() == qpdf_e_password;
    throw refusal(locked ? "is encrypted" : "is no PDF, or a damaged one");
  } catch (const std::exception&) {  // what the library throws over a damaged file is of many kinds
    throw refusal("is a damaged PDF");
  }
}

}  // namespace sagbench::reports
