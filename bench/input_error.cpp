#include "bench/input_error.hpp"
