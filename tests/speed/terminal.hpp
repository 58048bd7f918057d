#pragma once
// A pseudo-terminal that neither echoes nor changes a byte.

#include <fcntl.h>
#include <stdlib.h>  // NOLINT(modernize-deprecated-headers): posix_openpt is POSIX, not C
#include <termios.h>
#include <unistd.h>

#include <array>
#include <stdexcept>
#include <string>

namespace sagbench::speed {

class Terminal {
 public:
  /// `flags`: of open(), for our end. Throws std::runtime_error.
  explicit Terminal(int flags = 0) : ours_(::posix_openpt(O_RDWR | O_NOCTTY | flags)) {
    std::array<char, 128> name{};
    termios settings{};
    const bool open = ours_ >= 0 && ::grantpt(ours_) == 0 && ::unlockpt(ours_) == 0 &&
                      ::tcgetattr(ours_, &settings) == 0 &&
                      ::ptsname_r(ours_, name.data(), name.size()) == 0;
    if (!open) throw std::runtime_error("no pseudo-terminal can be had");
    ::cfmakeraw(&settings);
    name_ = name.data();
    theirs_ = ::open(name_.c_str(), O_RDWR | O_NOCTTY);
    if (theirs_ < 0 || ::tcsetattr(ours_, TCSANOW, &settings) != 0)
      throw std::runtime_error(name_ + " cannot be opened");
  }
  ~Terminal() {
    ::close(ours_);
    ::close(theirs_);
  }
  Terminal(const Terminal&) = delete;
  Terminal& operator=(const Terminal&) = delete;

  int ours() const noexcept { return ours_; }
  const std::string& name() const noexcept { return name_; }

 private:
  int ours_;
  int theirs_ = -1;  // held open: without any opener our end reads an error
  std::string name_;
};

}  // namespace sagbench::speed
