#include "reports/hours_figure.hpp"

namespace sagbench::reports {
namespace {

using analysis::Finding;
using analysis::Measured;

Finding<Measured> value_of(const analysis::Endurance& answer) {
  if (answer.hours_are_maximum)
    return Finding<Measured>::missing(
        "only a maximum: what the cold leaves of the pack is not known");
  return answer.hours;
}

SortBy rating_of_class(analysis::RadioClass radio_class) {
  return radio_class == analysis::RadioClass::qrp ? SortBy::usable_qrp : SortBy::usable_qro;
}

}  // namespace

SortFigure hours_figure(const RunDigest& run, const analysis::Operation& operation,
                        const analysis::Endurance& answer) {
  SortFigure figure{value_of(answer), answer.hours_are_minimum, {}, {}};
  figure.conditions = sort_figure(run, answer.by_test ? rating_of_class(operation.radio.radio_class)
                                                      : SortBy::capacity)
                          .conditions;
  figure.conditions.method = answer.by_test ? "a test of such a radio" : "the capacity";
  return figure;
}

}  // namespace sagbench::reports
