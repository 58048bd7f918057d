# What other projects may use: the CMake package `sagbench` with a component for each layer that is installed. All of it
# is of the install component `library`, so that who installs the program gets no headers.

include(GNUInstallDirs)
include(CMakePackageConfigHelpers)
set(SAGBENCH_PACKAGE_DIR ${CMAKE_INSTALL_LIBDIR}/cmake/sagbench)

# sagbench_install_layer(<folder> HEADERS ...): installs the library and these headers. As in the build, a layer's include
# directory holds nothing but its own folder. A header that includes one that is not listed does not compile there, which
# tests/library/ tries.
function(sagbench_install_layer folder)
  cmake_parse_arguments(LAYER "" "" "HEADERS" ${ARGN})
  set(include_dir ${CMAKE_INSTALL_INCLUDEDIR}/sagbench/${folder})
  target_include_directories(sagbench_${folder} PUBLIC $<INSTALL_INTERFACE:${include_dir}>)
  set_target_properties(sagbench_${folder} PROPERTIES EXPORT_NAME ${folder})
  install(TARGETS sagbench_${folder} EXPORT sagbench_${folder}
    ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR} COMPONENT library)
  install(EXPORT sagbench_${folder} NAMESPACE sagbench:: FILE sagbench_${folder}.cmake
    DESTINATION ${SAGBENCH_PACKAGE_DIR} COMPONENT library)
  foreach(header IN LISTS LAYER_HEADERS)
    cmake_path(GET header PARENT_PATH below)
    install(FILES ${header} DESTINATION ${include_dir}/${folder}/${below} COMPONENT library)
  endforeach()
endfunction()

configure_package_config_file(${CMAKE_CURRENT_LIST_DIR}/sagbenchConfig.cmake.in
  ${PROJECT_BINARY_DIR}/generated/sagbenchConfig.cmake INSTALL_DESTINATION ${SAGBENCH_PACKAGE_DIR})
write_basic_package_version_file(${PROJECT_BINARY_DIR}/generated/sagbenchConfigVersion.cmake
  COMPATIBILITY SameMinorVersion)
install(FILES
  ${PROJECT_BINARY_DIR}/generated/sagbenchConfig.cmake
  ${PROJECT_BINARY_DIR}/generated/sagbenchConfigVersion.cmake
  ${CMAKE_CURRENT_LIST_DIR}/FindSerialport.cmake
  DESTINATION ${SAGBENCH_PACKAGE_DIR} COMPONENT library)

set(doc_dir ${CMAKE_INSTALL_DATADIR}/doc/libsagbench-dev)
install(FILES ${PROJECT_SOURCE_DIR}/docs/library.md ${PROJECT_SOURCE_DIR}/CHANGELOG.md DESTINATION ${doc_dir}
  COMPONENT library)
install(FILES ${PROJECT_SOURCE_DIR}/LICENSE DESTINATION ${doc_dir} RENAME copyright COMPONENT library)
install(DIRECTORY ${PROJECT_SOURCE_DIR}/examples/library/ DESTINATION ${doc_dir}/example COMPONENT library)
