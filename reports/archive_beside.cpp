#include "reports/archive_beside.hpp"

#include "reports/archive_open.hpp"

namespace sagbench::reports {
namespace {

/// Whether `deletion` found a row.
bool removed(const char* deletion, const std::string& path, const std::string& run_id,
             const std::string& sha256) {
  const Database database = open_to_write(path, Archive::Durability::power_loss);
  database.begin(Database::Patience::usual);
  bool found = false;
  {
    Query query = database.query(deletion);
    query.bind(run_id).bind(sha256);
    found = query.step();
    query.run();
  }
  database.execute("COMMIT");
  return found;
}

}  // namespace

bool remove_photo(const std::string& path, const std::string& run_id, const std::string& sha256) {
  return removed(
      "DELETE FROM photo WHERE run = (SELECT run FROM run WHERE id = ?) AND sha256 = ? RETURNING 1",
      path, run_id, sha256);
}

bool remove_remark(const std::string& path, const std::string& run_id, const std::string& sha256) {
  return removed(
      "DELETE FROM remark WHERE run = (SELECT run FROM run WHERE id = ?) AND sha256 = ?"
      " RETURNING 1",
      path, run_id, sha256);
}

}  // namespace sagbench::reports
