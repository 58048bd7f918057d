#include "reports/photo.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <set>
#include <utility>

#include "reports/picture.hpp"
#include "reports/printable_text.hpp"
#include "reports/sha256.hpp"

namespace sagbench::reports {
namespace {

bool is_harmless(const std::string& name) {
  constexpr std::size_t kLongest = 120;  // bytes
  constexpr std::string_view kForbidden = "/\\:*?\"<>|";
  return !name.empty() && name.size() <= kLongest && name.front() != '.' && name.back() != '.' &&
         name.find_first_of(kForbidden) == std::string::npos && printable(name) == name;
}

/// Some file systems hold two names for one that differ only in that.
std::string lower_case(std::string name) {
  std::ranges::transform(name, name.begin(), [](unsigned char letter) {
    return letter < 0x80 ? static_cast<char>(std::tolower(letter)) : static_cast<char>(letter);
  });
  return name;
}

}  // namespace

analysis::Finding<Photo> photo_of(const std::string& name, std::string data) {
  using Found = analysis::Finding<Photo>;
  const auto size = static_cast<std::int64_t>(data.size());
  if (size > kLargestPhoto)
    return Found::missing(fmt::format("has {:.1f} MB; a photo may have {} MB at most",
                                      static_cast<double>(size) * 1e-6, kLargestPhoto / 1'000'000));
  const auto picture = picture_in(data);
  if (!picture) return Found::missing(picture.why());
  Photo photo{hash_of(data), "", printable(name), std::string(picture->media_type), "", size};
  photo.data = std::move(data);
  return photo;
}

std::vector<std::string> file_names_of(const std::vector<Photo>& photos) {
  constexpr std::size_t kDigits = 16;
  std::set<std::string> taken;
  std::vector<std::string> names;
  for (const Photo& photo : photos) {
    const char* const ending = photo.media_type == "image/png" ? "png" : "jpg";
    std::string name = photo.name;
    if (!is_harmless(name) || !taken.insert(lower_case(name)).second)
      name = fmt::format("{}.{}", photo.sha256.substr(0, kDigits), ending);
    taken.insert(lower_case(name));
    names.push_back(std::move(name));
  }
  return names;
}

}  // namespace sagbench::reports
