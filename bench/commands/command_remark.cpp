// What somebody says of a run afterwards: added, listed, removed.

#include <fmt/format.h>

#include <algorithm>

#include "bench/commands/commands.hpp"
#include "bench/commands/hashed_things.hpp"
#include "bench/files/input_error.hpp"
#include "bench/files/photo_file.hpp"
#include "bench/system/wall_time.hpp"
#include "reports/archive.hpp"
#include "reports/archive_beside.hpp"
#include "reports/printable_text.hpp"
#include "reports/remark.hpp"

namespace sagbench::bench {

using reports::Archive;
using reports::Remark;

namespace {

std::string line_on(const Remark& remark) {
  return reports::printable(fmt::format("{}  {}  {}", remark.utc.substr(0, 10),
                                        short_hash(reports::hash_of(remark)), remark.text));
}

int list(const RemarkOptions& options) {
  const Archive archive(options.archive, Archive::Access::read);
  const std::string id = archive.find_run(options.run);
  const auto remarks = archive.remarks(id);
  if (remarks.empty()) fmt::print("{}: run {} has no remarks\n", options.archive, id);
  for (const Remark& remark : remarks) fmt::print("{}\n", line_on(remark));
  return 0;
}

int remove(const RemarkOptions& options) {
  std::string id;
  std::vector<HashedThing> things;
  {
    const Archive archive(options.archive, Archive::Access::read);
    id = archive.find_run(options.run);
    const auto remarks = archive.remarks(id);
    things.resize(remarks.size());
    std::ranges::transform(remarks, things.begin(), [](const Remark& remark) {
      return HashedThing{remark.text, reports::hash_of(remark), line_on(remark)};
    });
  }
  remove_thing(things, {fmt::format("{}: run {}", options.archive, id), "remark", options.remove},
               options.yes, [&](const std::string& sha256) {
                 return reports::remove_remark(options.archive, id, sha256);
               });
  return 0;
}

int add(const RemarkOptions& options) {
  require_line(options.text, "the remark", reports::kLongestRemark);
  const std::string id = Archive(options.archive, Archive::Access::read).find_run(options.run);
  Archive(options.archive, Archive::Access::write).add_remark(id, {utc_now_ms(), options.text});
  return 0;
}

}  // namespace

int command_remark(const RemarkOptions& options) {
  const int wanted =
      (options.text.empty() ? 0 : 1) + (options.list ? 1 : 0) + (options.remove.empty() ? 0 : 1);
  if (wanted != 1)
    throw InputError("remark: give a text to add, or --list, or --remove REMARK: one of them");
  if (options.list) return list(options);
  return options.remove.empty() ? add(options) : remove(options);
}

}  // namespace sagbench::bench
