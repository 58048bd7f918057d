#pragma once
// The way to one watcher.

#include <memory>
#include <string>
#include <vector>

namespace sagbench::live {

using Message = std::shared_ptr<const std::string>;

class Outlet {
 public:
  virtual ~Outlet() = default;
  /// Nothing is under way to it.
  virtual bool idle() const = 0;
  /// One after the other. Precondition: idle().
  virtual void send(std::vector<Message> messages) = 0;
  /// Ends it. It is not used any more.
  virtual void drop() = 0;
};

}  // namespace sagbench::live
