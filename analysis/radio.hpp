#pragma once
// The radio the load imitates, and what its modes draw.

#include <optional>
#include <string>
#include <string_view>

namespace sagbench::analysis {

enum class RadioClass { qrp, qro };
enum class Stage { linear, constant_power };
enum class Mode { ssb, ssb_processed, cw, fm, rtty, ft8, ft4, am };

std::string_view name_of(RadioClass radio_class) noexcept;  // "QRP", "QRO"
std::string_view name_of(Mode mode) noexcept;               // as written in operation.json
std::optional<Mode> mode_from(std::string_view name) noexcept;

struct Radio {
  std::string name;
  RadioClass radio_class = RadioClass::qrp;
  double supply_min_v = 0.0;
  double supply_max_v = 0.0;
  double supply_nominal_v = 0.0;
  double receive_a = 0.0;
  double transmit_peak_a = 0.0;
  double transmit_idle_a = 0.0;
  Stage stage = Stage::linear;
  double cable_ohm = 0.0;                 // both conductors, pack to radio
  std::optional<double> clips_below_v{};  // what is not stated: see the functions below
  std::optional<double> restart_v{};
  std::optional<double> restart_s{};
};

/// Supply below which a linear stage no longer reaches its full peak; supply_nominal where none is
/// stated: a stage is laid out for its nominal supply (common practice, no source).
double clips_below_v(const Radio& radio) noexcept;
/// Supply at which a radio that dropped out comes back; 3 % above supply_min where none is stated,
/// never above supply_max (common practice, no source).
double restart_v(const Radio& radio) noexcept;
/// How long it stays off at least, in seconds; 2 s where nothing is stated (our choice: contacts,
/// capacitors and a program that starts).
double restart_s(const Radio& radio) noexcept;

/// Share of transmit time at peak current. Source: FCC OET Bulletin 65 Supplement B (Ed. 97-01),
/// Table 2, seen second-hand, for SSB, CW, FM, RTTY; FT8 and FT4 by slot arithmetic of the
/// published protocol (QEX July/August 2020): the slot's on-air share, since alternation is already
/// in the transmit share; AM as a carrier.
double duty_factor(Mode mode) noexcept;

/// Mean supply current in A while operating so, at the radio: f (D Ip + (1-D) Ii) + (1-f) Ir.
double mean_current_a(const Radio& radio, Mode mode, double transmit_share) noexcept;
/// The same with the share of transmit time at peak current, 0 to 1, instead of a mode's.
double mean_current_a(const Radio& radio, double duty, double transmit_share) noexcept;
/// Root-mean-square supply current in A of the same pattern: governs heating of cable and pack.
double rms_current_a(const Radio& radio, Mode mode, double transmit_share) noexcept;

}  // namespace sagbench::analysis
