#pragma once
// What the end of a discharge tells of the cells where none was tapped.

#include <optional>
#include <string>

#include "analysis/discharge.hpp"
#include "analysis/finding.hpp"
#include "analysis/recording.hpp"

namespace sagbench::analysis {

struct UntappedCells {
  /// One cell was empty while the others still held; false: all came to their end together.
  bool one_alone = false;
  /// That this is so, where before either was as likely; absent where it follows from a bound.
  std::optional<double> confidence{};
  std::optional<double> steepening{};  // see EndShape; absent where a protection board ended it
  /// About how low the one cell stood at the end; absent where they came to it together: which of
  /// them stood lowest is not known.
  std::optional<double> weakest_v{};
  std::string because;  // one sentence with the measured facts
};

/// A cell that ends alone goes on falling, far below its limit, until the pack's voltage has
/// reached the end; cells alike share the fall. Three things can show it.
///
/// A protection board opens for the lowest cell. Where it opened while the pack still had more than
/// boards allow a cell (2.8 V for LFP, 3.0 V for layered oxides: common practice, no source) times
/// the number of cells, one cell was below the others.
///
/// A step: the voltage fell by half of a cell's nominal voltage or more and then went on as flat as
/// before (VoltageStep). One cell was empty, was driven on and reversed by the others.
///
/// The shape of the end (EndShape). Cells that come to their end together fall ever steeper down to
/// the pack's end; a cell alone has most of its own steep part behind it by then and falls on
/// straight. An exponential fall would look the same either way, so this tells only in chemistries
/// whose cells do not fall so. What each hypothesis leads to is taken from trials on simulated
/// packs; how often the answer is wrong there, and in measured cells: docs/weak-cell.md.
///
/// Missing, with why, where neither tells, where cells were tapped, and for one cell.
/// `discharge` views `recording`.
Finding<UntappedCells> untapped_cells(const Recording& recording, const Discharge& discharge);

}  // namespace sagbench::analysis
