#include "reports/archive.hpp"
