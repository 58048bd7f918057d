#pragma once
// Errors of the instrument side are values: one result type, few kinds, split by whose fault it is.

#include <boost/system/result.hpp>
#include <stdexcept>
#include <string>

namespace sagbench::drivers {

enum class ErrorKind {
  caller,        // the bench file or dialect asks for something that cannot be
  timeout,       // silence: no answer before the deadline
  disconnected,  // the line is gone: end of stream, reset, unplugged
  protocol,      // an answer that makes no sense
  instrument,    // the instrument's error queue says no
};

struct Error {
  ErrorKind kind = ErrorKind::protocol;
  std::string message;  // one line for people: which port, what was sent, what came back
};

/// An error on its way as an exception; what() is its message.
class Failure : public std::runtime_error {
 public:
  explicit Failure(const Error& error) : std::runtime_error(error.message), kind_(error.kind) {}
  ErrorKind kind() const noexcept { return kind_; }

 private:
  ErrorKind kind_;
};

/// Throws a Failure. This is what value() of a Result without one does; nobody in this project
/// calls that without asking first.
[[noreturn]] void throw_exception_from_error(const Error& error,
                                             const boost::source_location& where);

template <class T>
using Result = boost::system::result<T, Error>;

}  // namespace sagbench::drivers
