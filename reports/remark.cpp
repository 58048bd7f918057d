#include "reports/remark.hpp"

#include "reports/photo.hpp"
#include "reports/sha256.hpp"

namespace sagbench::reports {

std::string hash_of(const Remark& remark) {
  return hash_of(remark.utc + "\n" + remark.text);
}

}  // namespace sagbench::reports
