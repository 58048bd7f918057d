#pragma once
// One run's record, part by part, against its seals.

#include <cstdint>
#include <string>
#include <vector>

#include "reports/alteration.hpp"
#include "reports/archive_samples.hpp"
#include "reports/archive_seals.hpp"

namespace sagbench::reports {

/// Reads all of a sealed run. What meets damage is taken down as such and the rest read on.
class RunReading {
 public:
  /// `room`: whatever is in it; samples are read into it, run after run.
  RunReading(const Database& database, std::int64_t run, Depth depth,
             std::vector<analysis::Sample>& room);

  /// What is not as it was sealed; nothing where the run is whole. Where the parts are whole by the
  /// run's hash, only the seals themselves can have been altered.
  std::vector<Alteration> held_against(const RunSeal& seal);

 private:
  template <class Work>
  void attempt(const Alteration& otherwise, Work&& work);
  const Seal* sealed(const Seal& found) const;
  void read_table(std::string_view table);
  void read_samples();
  bool is_known_whole(const SampleRange& block);
  void read_block(const SampleRange& block, std::optional<double> before_s);
  void compare(const Seal& found, const std::vector<analysis::Sample>& samples);
  void look_for_lost_blocks();
  void look_for_rows();
  std::vector<Alteration> altered_seals() const;

  const Database& database_;
  std::int64_t run_;
  Depth depth_;
  std::vector<analysis::Sample>& samples_;
  std::vector<Seal> sealed_, found_;
  bool has_seals_ = false;  // they could be read
  std::vector<SampleRange> blocks_;
  std::vector<Alteration> changed_;  // against the seals
  std::vector<Alteration> beside_;   // what no seal tells
};

}  // namespace sagbench::reports
