#include "reports/deflate.hpp"

#include <zlib.h>

#include <new>

namespace sagbench::reports {

std::string deflated(std::string_view bytes, int level) {
  uLongf size = compressBound(bytes.size());
  std::string block(size, '\0');
  const int code = compress2(reinterpret_cast<Bytef*>(block.data()), &size,
                             reinterpret_cast<const Bytef*>(bytes.data()), bytes.size(), level);
  if (code != Z_OK) throw std::bad_alloc();  // nothing else can happen: the room is enough
  block.resize(size);
  return block;
}

}  // namespace sagbench::reports
