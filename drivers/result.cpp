#include "drivers/result.hpp"

namespace sagbench::drivers {

void throw_exception_from_error(const Error& error, const boost::source_location&) {
  throw Failure(error);
}

}  // namespace sagbench::drivers
