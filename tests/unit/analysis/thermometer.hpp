#pragma once
// Table H.6 of JCGM 100:2008: a thermometer's readings and their corrections, in degrees Celsius.

namespace sagbench::analysis::testing {

inline constexpr double kThermometer[][2] = {{21.521, -0.171}, {22.012, -0.169}, {22.512, -0.166},
                                             {23.003, -0.159}, {23.507, -0.164}, {23.999, -0.165},
                                             {24.513, -0.156}, {25.002, -0.157}, {25.503, -0.159},
                                             {26.010, -0.161}, {26.511, -0.160}};

}  // namespace sagbench::analysis::testing
