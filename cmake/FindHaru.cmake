# libharu ships no CMake package on Debian and Ubuntu. Defines Haru::haru.
find_path(HARU_INCLUDE_DIR hpdf.h)
find_library(HARU_LIBRARY NAMES hpdf hpdfs)  # static, it has the other name
include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(Haru REQUIRED_VARS HARU_LIBRARY HARU_INCLUDE_DIR)
if(Haru_FOUND AND NOT TARGET Haru::haru)
  add_library(Haru::haru UNKNOWN IMPORTED)
  set_target_properties(Haru::haru PROPERTIES IMPORTED_LOCATION ${HARU_LIBRARY} INTERFACE_INCLUDE_DIRECTORIES ${HARU_INCLUDE_DIR})
endif()
mark_as_advanced(HARU_INCLUDE_DIR HARU_LIBRARY)
