#pragma once
// Lets a failed check show the error's message.

#include <boost/system/result.hpp>
#include <string>

#include "catch.hpp"
#include "drivers/result.hpp"

namespace Catch {

template <class T>
struct StringMaker<boost::system::result<T, sagbench::drivers::Error>> {
  static std::string convert(const boost::system::result<T, sagbench::drivers::Error>& result) {
    return result ? "a value" : "error: " + result.error().message;
  }
};

}  // namespace Catch
