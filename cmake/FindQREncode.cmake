# libqrencode ships no CMake package. Defines QREncode::qrencode.
find_path(QRENCODE_INCLUDE_DIR qrencode.h)
find_library(QRENCODE_LIBRARY qrencode)
include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(QREncode REQUIRED_VARS QRENCODE_LIBRARY QRENCODE_INCLUDE_DIR)
if(QREncode_FOUND AND NOT TARGET QREncode::qrencode)
  add_library(QREncode::qrencode UNKNOWN IMPORTED)
  set_target_properties(QREncode::qrencode PROPERTIES
    IMPORTED_LOCATION ${QRENCODE_LIBRARY} INTERFACE_INCLUDE_DIRECTORIES ${QRENCODE_INCLUDE_DIR})
endif()
mark_as_advanced(QRENCODE_INCLUDE_DIR QRENCODE_LIBRARY)
