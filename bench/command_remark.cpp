// What somebody says of a run afterwards.

#include <fmt/format.h>

#include "bench/commands.hpp"
#include "bench/input_error.hpp"
#include "bench/photo_file.hpp"
#include "bench/wall_time.hpp"
#include "reports/archive.hpp"
#include "reports/printable_text.hpp"
#include "reports/remark.hpp"

namespace sagbench::bench {

using reports::Archive;

namespace {

int list(const std::string& path, const std::string& run) {
  const Archive archive(path, Archive::Access::read);
  const std::string id = archive.find_run(run);
  const auto remarks = archive.remarks(id);
  if (remarks.empty()) fmt::print("{}: run {} has no remarks\n", path, id);
  for (const reports::Remark& remark : remarks)
    fmt::print("{}\n",
               reports::printable(fmt::format("{}  {}", remark.utc.substr(0, 10), remark.text)));
  return 0;
}

}  // namespace

int command_remark(const std::string& path, const std::string& run, const std::string& text,
                   bool listed) {
  if (listed == !text.empty())
    throw InputError("remark: give a text to add, or --list: one of them");
  if (listed) return list(path, run);
  require_line(text, "the remark", reports::kLongestRemark);
  const std::string id = Archive(path, Archive::Access::read).find_run(run);
  Archive(path, Archive::Access::write).add_remark(id, {utc_now_ms(), text});
  return 0;
}

}  // namespace sagbench::bench
