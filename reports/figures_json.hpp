#pragma once
// Figures as JSON, by the keys the design fixes. A figure that could not be had is null, with
// "<key>_why" beside it.

#include <optional>
#include <string>
#include <vector>

#include "analysis/figures.hpp"
#include "analysis/pack.hpp"
#include "analysis/temperature_correction.hpp"
#include "reports/photo.hpp"
#include "reports/remark.hpp"

namespace sagbench::reports {

/// What figures were made from, and by what.
struct Origin {
  std::string sha256;             // of the run as it was sealed; empty: it is not
  std::string software;           // "sagbench 0.1.0"
  std::vector<Photo> photos{};    // of the pack; without their data
  std::vector<Remark> remarks{};  // what was said of the run afterwards
};

/// Pretty-printed document with a newline at its end. `corrected`: where a temperature coefficient
/// was stated.
std::string figures_json(const analysis::Figures& figures, const analysis::Pack& pack,
                         const std::optional<analysis::CorrectedCapacity>& corrected = {},
                         const Origin& origin = {});

}  // namespace sagbench::reports
