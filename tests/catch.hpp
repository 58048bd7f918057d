#pragma once
// Catch2 2 and 3 differ in their headers only, as far as these tests use them.
#if __has_include(<catch2/catch_all.hpp>)
#include <catch2/catch_all.hpp>
using Catch::Approx;
#else
#include <catch2/catch.hpp>
#endif
