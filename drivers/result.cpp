#include "drivers/result.hpp"

#include <stdexcept>

namespace sagbench::drivers {

void throw_exception_from_error(const Error& error, const boost::source_location&) {
  throw std::logic_error("unchecked error: " + error.message);
}

}  // namespace sagbench::drivers
