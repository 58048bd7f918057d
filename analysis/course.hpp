#pragma once
// A radio's way down the discharge, from what is taken for true of the pack.

#include <string_view>

#include "analysis/last_overs.hpp"
#include "analysis/pack.hpp"
#include "analysis/prediction.hpp"
#include "analysis/sent_pattern.hpp"
#include "analysis/setting_error.hpp"
#include "analysis/source_curve.hpp"

namespace sagbench::analysis {

/// What is known beforehand.
struct Route {
  const Pack& pack;
  const Outing& outing;
  const SentPattern& pattern;
  const SettingError& error;
  double reference_ah = 0.0;  // above 0
};

/// To where the radio would drop out for the first time in a stretch of its pattern, or where the
/// pack or its lowest tapped cell reaches the end of discharge.
struct Course {
  double hours = 0.0;
  std::string_view limited_by;
  double mean_a = 0.0;
  double depth_ah = 0.0;         // at the end, on the curve
  double fall_v_per_h = 0.0;     // of the voltage that ends it, at the end; 0: it ends at once
  bool in_step = false;          // the step as planned gets there
  double lowest_supply_v = 0.0;  // in the step as planned
  double lowest_spread_v = 0.0;  // standard deviation of it from one draw of the pattern to another
};

/// In steps of charge, finer and finer where the end is passed, straight within the last. The
/// charge is counted by the load's readings, which differ a little from what it is told.
/// `charge_factor`: how much more charge there is than the curve was measured with.
Course course_on(const Route& route, const SourceCurve& curve, double charge_factor);

}  // namespace sagbench::analysis
