// Only there so that catch.hpp is compiled ahead.
