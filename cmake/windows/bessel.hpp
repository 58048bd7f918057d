#pragma once
// Ceres' headers call these functions of POSIX, which Windows' <math.h> hides from strict C++.
extern "C" {
double j0(double);
double j1(double);
double jn(int, double);
}
