#include "bench/files/run_folder_file.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <limits>
#include <system_error>
#include <utility>

#include "bench/files/json_reader.hpp"
#include "bench/files/stated_seal.hpp"
#include "reports/measured_csv.hpp"
#include "reports/run_folder.hpp"
#include "reports/samples_csv.hpp"

namespace sagbench::bench {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using reports::RunRecord;

constexpr double kMost = std::numeric_limits<double>::max();
constexpr Range kAny{-kMost, kMost, ""};

/// Texts of the archive may be empty or long, and hold what a person would not write.
std::string any_text(ObjectReader& object, std::string_view key) {
  const json& value = object.raw(key);
  if (!value.is_string()) object.refuse(key, "a text in quotes");
  return value.get<std::string>();
}

/// A file of the user's: JSON as it is, or its text.
std::string file_text(ObjectReader& object, std::string_view key) {
  const json& value = object.raw(key);
  if (value.is_string()) return value.get<std::string>();
  if (!value.is_object()) object.refuse(key, "an object or a text in quotes");
  return value.dump();
}

/// Reads each object of the list at `key`.
template <class Read>
auto list_of(ObjectReader& object, std::string_view key, Read read) {
  const json& list = object.raw(key);
  if (!list.is_array()) object.refuse(key, "a list");
  std::vector<decltype(read(std::declval<ObjectReader&>()))> found;
  for (std::size_t i = 0; i < list.size(); ++i) {
    ObjectReader entry(list[i], object.file(), fmt::format("{}[{}]", key, i));
    found.push_back(read(entry));
    entry.finish();
  }
  return found;
}

reports::Instrument instrument_from(ObjectReader& object) {
  return {any_text(object, "role"), any_text(object, "identity"), any_text(object, "port"),
          any_text(object, "calibrated")};
}

reports::Event event_from(ObjectReader& object) {
  return {object.number("time_s", kAny), any_text(object, "severity"), any_text(object, "text")};
}

analysis::Gap gap_from(ObjectReader& object) {
  return {object.number("start_s", kAny), object.number("end_s", kAny),
          object.number("current_A", kAny), object.number("longest_on_s", kAny),
          any_text(object, "why")};
}

reports::StepRow step_from(ObjectReader& object) {
  const auto kind = analysis::step_kind_from(any_text(object, "kind"));
  if (!kind) object.refuse("kind", "the kind of a step, as \"capacity\"");
  const auto end = analysis::step_end_from(any_text(object, "end"));
  if (!end) object.refuse("end", "how a step ends, as \"completed\"");
  return {*kind,
          file_text(object, "parameters"),
          object.number("start_s", kAny),
          object.number("end_s", kAny),
          *end,
          any_text(object, "why"),
          object.number("charge_before_Ah", kAny)};
}

reports::RunClosing closing_from(ObjectReader object) {
  constexpr int kLast = static_cast<int>(reports::RunEnd::interrupted);
  reports::RunClosing closing;
  closing.end = static_cast<reports::RunEnd>(object.whole("exit_code", 0, kLast));
  closing.reason = any_text(object, "reason");
  closing.load_confirmed_off = object.maybe_flag("load_confirmed_off").value_or(false);
  object.finish();
  return closing;
}

std::vector<std::string> notes_from(ObjectReader& object) {
  const json& list = object.raw("notes");
  if (!list.is_array()) object.refuse("notes", "a list of texts");
  std::vector<std::string> notes;
  for (const json& note : list) {
    if (!note.is_string()) object.refuse("notes", "a list of texts");
    notes.push_back(note.get<std::string>());
  }
  return notes;
}

void require_count(ObjectReader& object, std::string_view key, std::size_t found,
                   const std::string& file) {
  const int told = object.whole(key, 0, std::numeric_limits<int>::max());
  if (static_cast<std::size_t>(told) != found)
    object.refuse(key, fmt::format("as many as {} has lines: {}", file, found));
}

/// Without its bytes yet. Those that only name a photo are left out.
struct PhotoEntry {
  reports::Photo photo;
  std::string file;
};

PhotoEntry photo_from(ObjectReader& object) {
  PhotoEntry entry;
  entry.photo = {any_text(object, "sha256"), any_text(object, "utc"), any_text(object, "name"),
                 any_text(object, "media_type"), any_text(object, "caption")};
  object.raw("size");
  if (!object.has("file")) return entry;
  entry.file = any_text(object, "file");
  const std::string name = fs::path(entry.file).filename().string();
  if (name == ".." || entry.file != reports::kPhotoFolder + name)
    object.refuse("file", "a file of the folder photos, as \"photos/front.jpg\"");
  return entry;
}

reports::Remark remark_from(ObjectReader& object) {
  return {any_text(object, "utc"), any_text(object, "text")};
}

/// What photo_of() finds in the bytes must be what run.json says of them.
reports::Photo with_data(const PhotoEntry& entry, const RunFiles& files) {
  const std::string path = files.path(entry.file);
  auto data = files.content(entry.file);
  if (!data) throw InputError(path + ": no such file");
  const auto found = reports::photo_of(entry.photo.name, std::move(*data));
  if (!found) throw InputError(fmt::format("{}: {}", path, found.why()));
  if (found->sha256 != entry.photo.sha256)
    throw InputError(fmt::format("{}: is not the photo that run.json tells of: its sha256 is {}",
                                 path, found->sha256));
  reports::Photo photo = entry.photo;
  photo.media_type = found->media_type;
  photo.size = found->size;
  photo.data = found->data;
  return photo;
}

void read_what_is_beside(ObjectReader& object, const RunFiles& files, RunRecord& record) {
  if (object.has("photos"))
    for (const PhotoEntry& entry : list_of(object, "photos", photo_from))
      if (!entry.file.empty()) record.photos.push_back(with_data(entry, files));
  if (object.has("remarks")) record.remarks = list_of(object, "remarks", remark_from);
}

RunRecord head_from(ObjectReader& object) {
  RunRecord record;
  record.id = object.text("run");
  record.header.utc = any_text(object, "utc");
  record.header.pack_name = any_text(object, "pack_name");
  record.header.software = any_text(object, "software");
  record.closing = closing_from(object.object("ending"));
  record.seal = stated_seal(object);
  record.header.notes = notes_from(object);
  record.header.instruments = list_of(object, "instruments", instrument_from);
  record.header.pack_json = file_text(object, "pack");
  record.header.bench_json = file_text(object, "bench");
  record.header.plan_json = file_text(object, "plan");
  record.steps = list_of(object, "steps", step_from);
  record.events = list_of(object, "events", event_from);
  record.gaps = list_of(object, "gaps", gap_from);
  return record;
}

/// The files lie side by side.
class FilesOfFolder final : public RunFiles {
 public:
  explicit FilesOfFolder(fs::path folder) : folder_(std::move(folder)) {}

  std::string path(const std::string& name) const override { return (folder_ / name).string(); }
  std::optional<std::string> content(const std::string& name) const override {
    std::error_code unknown;  // then reading it says why
    if (!fs::exists(folder_ / name, unknown) && !unknown) return std::nullopt;
    return reports::read_csv_text(path(name));
  }

 private:
  fs::path folder_;
};

std::string required(const RunFiles& files, const std::string& name) {
  auto content = files.content(name);
  if (!content) throw InputError(files.path(name) + ": no such file");
  return std::move(*content);
}

}  // namespace

RunRecord read_run_files(const RunFiles& files) {
  const std::string head_path = files.path("run.json");
  const json head = parse_json(required(files, "run.json"), head_path);
  ObjectReader object(head, head_path);
  object.schema("run");
  RunRecord record = head_from(object);
  const std::string samples = files.path("samples.csv");
  record.samples = reports::read_samples_csv(required(files, "samples.csv"), samples);
  require_count(object, "samples", record.samples.size(), samples);
  const std::string asked = files.path("asked.csv");
  if (const auto text = files.content("asked.csv"))
    record.asked = reports::read_asked_csv(*text, asked);
  require_count(object, "asked", record.asked.size(), asked);
  read_what_is_beside(object, files, record);
  object.raw("columns");
  require_stated_seal(object, record);
  object.finish();
  return record;
}

RunRecord read_run_folder(const std::string& folder) {
  return read_run_files(FilesOfFolder(folder));
}

}  // namespace sagbench::bench
