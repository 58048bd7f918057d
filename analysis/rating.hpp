#pragma once
// Does the pack suit a QRP or a QRO radio?

#include <span>
#include <string>
#include <vector>

#include "analysis/capacity.hpp"
#include "analysis/charge_state.hpp"
#include "analysis/figures.hpp"
#include "analysis/sag_line.hpp"

namespace sagbench::analysis {

/// A pack suits a radio that stays on the air from full down to this charge (common practice, no
/// source).
inline constexpr double kLastUsefulCharge = 0.2;

/// Decision rule with guard band (JCGM 106:2012, 8.3.2): suits when the margin exceeds its expanded
/// uncertainty, does not suit when it lies below minus that, else marginal.
Verdict verdict_of_margin(const Measured& margin) noexcept;

/// QRP first, then QRO. Precondition: the recording has no defect.
std::vector<Rating> ratings(const Recording& recording, const Finding<Capacity>& capacity,
                            const ChargeState& charge, std::span<const SagLine> lines);

/// The ratings of a run of which nothing can be had, for one reason.
std::vector<Rating> ratings_without(const std::string& why);

/// What the verdict risks, for people: "Risk of accepting it wrongly: 0.4 % at most (JCGM 106)."
/// Empty where there is no figure.
std::string risk_words(const Rating& rating);

}  // namespace sagbench::analysis
