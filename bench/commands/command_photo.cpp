// Photos of a run's pack: added, listed, written to files, removed.

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <utility>

#include "bench/commands/commands.hpp"
#include "bench/commands/hashed_things.hpp"
#include "bench/files/input_error.hpp"
#include "bench/files/photo_file.hpp"
#include "bench/system/wall_time.hpp"
#include "reports/archive.hpp"
#include "reports/archive_beside.hpp"
#include "reports/atomic_file.hpp"
#include "reports/printable_text.hpp"
#include "reports/remark.hpp"
#include "reports/sha256.hpp"

namespace sagbench::bench {
namespace {

namespace fs = std::filesystem;
using reports::Archive;
using reports::Photo;

std::string line_on(const Photo& photo) {
  constexpr double kKilo = 1000.0;
  std::string line =
      fmt::format("{}  {:>7.0f} kB  {}  {}", photo.utc.substr(0, 10),
                  static_cast<double>(photo.size) / kKilo, short_hash(photo.sha256), photo.name);
  if (!photo.caption.empty()) line += "  " + photo.caption;
  return reports::printable(line);
}

int list(const PhotoOptions& options) {
  const Archive archive(options.archive, Archive::Access::read);
  const std::string id = archive.find_run(options.run);
  const auto photos = archive.photos(id);
  if (photos.empty()) fmt::print("{}: run {} has no photos\n", options.archive, id);
  for (const Photo& photo : photos) fmt::print("{}\n", line_on(photo));
  return 0;
}

/// All of them; where one is not as it was added, or a file of its name is there, none.
int take_out(const PhotoOptions& options) {
  const Archive archive(options.archive, Archive::Access::read);
  const std::string id = archive.find_run(options.run);
  const auto photos = archive.photos(id);
  if (photos.empty())
    throw InputError(fmt::format("{}: run {} has no photos", options.archive, id));
  std::vector<std::pair<std::string, std::string>> files;  // paths and contents
  const auto names = reports::file_names_of(photos);
  for (std::size_t i = 0; i < photos.size(); ++i) {
    const std::string path = (fs::path(options.out) / names[i]).string();
    std::error_code unknown;  // then writing it says why
    if (fs::exists(path, unknown))
      throw InputError(path + ": is there already; name another folder");
    files.emplace_back(path, archive.photo_data(id, photos[i].sha256));
    if (reports::hash_of(files.back().second) != photos[i].sha256)
      throw InputError(
          fmt::format("{}: run {}: photo {} differs from what was added; no photo is written",
                      options.archive, id, photos[i].name));
  }
  std::error_code error;
  fs::create_directories(options.out, error);
  if (error) throw InputError(fmt::format("{}: cannot be made: {}", options.out, error.message()));
  for (const auto& [path, content] : files) {
    reports::write_file_whole(path, content);
    fmt::print("{}\n", path);
  }
  return 0;
}

int add(const PhotoOptions& options) {
  require_line(options.caption, "--caption", reports::kLongestCaption);
  Photo photo = read_photo(options.file);
  photo.utc = utc_now_ms();
  photo.caption = options.caption;
  // Not made when it is missing: there would be no run in it.
  const std::string id = Archive(options.archive, Archive::Access::read).find_run(options.run);
  Archive archive(options.archive, Archive::Access::write);
  if (!archive.add_photo(id, photo)) {
    if (!photo.caption.empty()) archive.put_caption(id, photo.sha256, photo.caption);
    fmt::print(stderr, "sagbench: {}: run {} has this photo already{}\n", options.file, id,
               photo.caption.empty() ? "" : "; it has the new caption");
  }
  fmt::print("{}\n", photo.sha256);
  return 0;
}

int remove(const PhotoOptions& options) {
  std::string id;
  std::vector<HashedThing> things;
  {
    const Archive archive(options.archive, Archive::Access::read);
    id = archive.find_run(options.run);
    const auto photos = archive.photos(id);
    things.resize(photos.size());
    std::ranges::transform(photos, things.begin(), [](const Photo& photo) {
      return HashedThing{photo.name, photo.sha256, line_on(photo)};
    });
  }
  remove_thing(things, {fmt::format("{}: run {}", options.archive, id), "photo", options.remove},
               options.yes, [&](const std::string& sha256) {
                 return reports::remove_photo(options.archive, id, sha256);
               });
  return 0;
}

}  // namespace

int command_photo(const PhotoOptions& options) {
  const int wanted = (options.file.empty() ? 0 : 1) + (options.list ? 1 : 0) +
                     (options.out.empty() ? 0 : 1) + (options.remove.empty() ? 0 : 1);
  if (wanted != 1)
    throw InputError(
        "photo: name a picture to add, or --list, or --out FOLDER, or --remove PHOTO: one of them");
  if (options.list) return list(options);
  if (!options.remove.empty()) return remove(options);
  return options.out.empty() ? add(options) : take_out(options);
}

}  // namespace sagbench::bench
