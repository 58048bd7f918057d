# libserialport ships no CMake package. Defines Serialport::serialport.
find_path(SERIALPORT_INCLUDE_DIR libserialport.h)
find_library(SERIALPORT_LIBRARY serialport)
include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(Serialport REQUIRED_VARS SERIALPORT_LIBRARY SERIALPORT_INCLUDE_DIR)
if(Serialport_FOUND AND NOT TARGET Serialport::serialport)
  add_library(Serialport::serialport UNKNOWN IMPORTED)
  set_target_properties(Serialport::serialport PROPERTIES
    IMPORTED_LOCATION ${SERIALPORT_LIBRARY} INTERFACE_INCLUDE_DIRECTORIES ${SERIALPORT_INCLUDE_DIR})
endif()
mark_as_advanced(SERIALPORT_INCLUDE_DIR SERIALPORT_LIBRARY)
