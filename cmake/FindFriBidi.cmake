# FriBidi ships no CMake package. Defines FriBidi::fribidi; its headers are included by their folder.
find_path(FRIBIDI_INCLUDE_DIR fribidi/fribidi.h)
find_library(FRIBIDI_LIBRARY fribidi)
include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(FriBidi REQUIRED_VARS FRIBIDI_LIBRARY FRIBIDI_INCLUDE_DIR)
if(FriBidi_FOUND AND NOT TARGET FriBidi::fribidi)
  add_library(FriBidi::fribidi UNKNOWN IMPORTED)
  set_target_properties(FriBidi::fribidi PROPERTIES
    IMPORTED_LOCATION ${FRIBIDI_LIBRARY} INTERFACE_INCLUDE_DIRECTORIES ${FRIBIDI_INCLUDE_DIR})
endif()
mark_as_advanced(FRIBIDI_INCLUDE_DIR FRIBIDI_LIBRARY)
