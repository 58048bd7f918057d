#pragma once
// What lines and letters look like. Colours are Okabe and Ito's set ("Color Universal Design",
// 2008), told apart by people with any common colour vision; dashes and markers differ as well, so
// a grey print loses nothing.

#include <array>
#include <cstddef>
#include <cstdint>

namespace sagbench::reports {

struct Colour {
  double red = 0.0;
  double green = 0.0;
  double blue = 0.0;
};

inline constexpr Colour kBlack{0.0, 0.0, 0.0};
inline constexpr Colour kInk{0.13, 0.13, 0.15};
inline constexpr Colour kGrey{0.40, 0.40, 0.42};
inline constexpr Colour kPale{0.80, 0.80, 0.82};
inline constexpr Colour kMist{0.95, 0.95, 0.96};
inline constexpr Colour kWhite{1.0, 1.0, 1.0};
inline constexpr Colour kBlue{0.0, 0.447, 0.698};
inline constexpr Colour kVermilion{0.835, 0.369, 0.0};
inline constexpr Colour kGreen{0.0, 0.620, 0.451};
inline constexpr Colour kOrange{0.902, 0.624, 0.0};
inline constexpr Colour kPurple{0.800, 0.475, 0.655};
inline constexpr Colour kSky{0.337, 0.706, 0.914};

/// On and off lengths in points; {0, 0} is a solid line.
struct Dash {
  std::uint16_t on = 0;
  std::uint16_t off = 0;
};

struct Stroke {
  Colour colour = kInk;
  double width = 0.8;
  Dash dash{};
};

enum class Marker { none, disc, square, diamond, triangle, ring, cross };

struct SeriesLook {
  Stroke stroke;
  Marker marker = Marker::none;
};

/// The look of the n-th curve of a picture. Colour, dash and marker run through cycles of different
/// length, so twelve curves and more all differ.
inline SeriesLook series_look(std::size_t n) noexcept {
  constexpr std::array kColours = {kBlack, kBlue, kVermilion, kGreen, kPurple, kOrange, kSky};
  constexpr std::array<Dash, 5> kDashes = {Dash{0, 0}, Dash{5, 2}, Dash{1, 1}, Dash{8, 3},
                                           Dash{3, 2}};
  constexpr std::array kMarkers = {Marker::disc, Marker::square,   Marker::diamond,
                                   Marker::ring, Marker::triangle, Marker::cross};
  return {{kColours[n % kColours.size()], 1.0, kDashes[n % kDashes.size()]},
          kMarkers[n % kMarkers.size()]};
}

enum class Weight { regular, bold };

struct Font {
  double size = 8.0;
  Weight weight = Weight::regular;
  Colour colour = kInk;
};

}  // namespace sagbench::reports
