# What the packages of sagbench hold, and how they are made: `cpack -G DEB`, or ./dev package. One has the program, the
# other, libsagbench-dev, what SagbenchLibrary.cmake installs.

include(GNUInstallDirs)
set(CMAKE_SKIP_INSTALL_ALL_DEPENDENCY ON)  # a package needs no tests
find_program(SAGBENCH_GZIP gzip REQUIRED)

# What the program tells of its own command line. Cross-compiled, it runs in CMAKE_CROSSCOMPILING_EMULATOR.
set(described "")
function(sagbench_described kind file)
  add_custom_command(OUTPUT ${file} COMMAND sagbench describe ${kind} > ${file} DEPENDS sagbench VERBATIM)
  set(described ${described} ${file} PARENT_SCOPE)
endfunction()
set(described_in ${PROJECT_BINARY_DIR}/generated/described)
file(MAKE_DIRECTORY ${described_in})
sagbench_described(man ${described_in}/sagbench.1)
sagbench_described(bash ${described_in}/sagbench)
sagbench_described(zsh ${described_in}/_sagbench)
sagbench_described(fish ${described_in}/sagbench.fish)
add_custom_command(OUTPUT ${described_in}/sagbench.1.gz
  COMMAND ${SAGBENCH_GZIP} -9 -n -k -f ${described_in}/sagbench.1 DEPENDS ${described_in}/sagbench.1 VERBATIM)
add_custom_target(described ALL DEPENDS ${described} ${described_in}/sagbench.1.gz)

set(CMAKE_INSTALL_DEFAULT_COMPONENT_NAME program)
install(TARGETS sagbench RUNTIME)
install(FILES ${described_in}/sagbench.1.gz DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
install(FILES ${described_in}/sagbench DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions)
install(FILES ${described_in}/_sagbench DESTINATION ${CMAKE_INSTALL_DATADIR}/zsh/vendor-completions)
install(FILES ${described_in}/sagbench.fish DESTINATION ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d)
install(FILES ${CMAKE_CURRENT_LIST_DIR}/60-sagbench.rules DESTINATION lib/udev/rules.d)
install(FILES README.md CHANGELOG.md DESTINATION ${CMAKE_INSTALL_DOCDIR})
install(FILES LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR} RENAME copyright)
install(DIRECTORY docs/ DESTINATION ${CMAKE_INSTALL_DOCDIR}/docs)
install(DIRECTORY examples DESTINATION ${CMAKE_INSTALL_DOCDIR} PATTERN examples/library EXCLUDE)

set(CPACK_PACKAGE_VENDOR "the sagbench contributors")
set(CPACK_PACKAGE_CONTACT "the sagbench contributors <sagbench@localhost>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "measure battery packs the way a radio uses them")
set(CPACK_PACKAGE_DESCRIPTION
  "A programmable electronic load draws from a battery pack what a portable radio would, while a meter\n\
watches. Tells capacity, energy, resistance and sag with their uncertainties, whether the pack suits a\n\
low-power or a full-power station, and keeps the club's archive of all tests.")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_GENERATOR DEB)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_COMPONENTS_ALL program library)
set(CPACK_COMPONENTS_GROUPING IGNORE)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_PACKAGE_DIRECTORY ${PROJECT_BINARY_DIR}/package)

set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME sagbench)
set(CPACK_DEBIAN_PROGRAM_DESCRIPTION "${CPACK_PACKAGE_DESCRIPTION}")
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION hamradio)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_DEPENDS fonts-dejavu-core)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SUGGESTS "fonts-wqy-microhei, fonts-lohit-deva")

# Of the Boost that it was built with: see sagbenchConfig.cmake.in.
string(REGEX MATCH "^[0-9]+\\.[0-9]+" boost_release ${Boost_VERSION_STRING})
set(CPACK_DEBIAN_LIBRARY_PACKAGE_NAME libsagbench-dev)
set(CPACK_DEBIAN_LIBRARY_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_LIBRARY_PACKAGE_DEPENDS
  "libboost${boost_release}-dev, libceres-dev, libeigen3-dev, libfmt-dev, libserialport-dev, nlohmann-json3-dev")
set(CPACK_DEBIAN_LIBRARY_DESCRIPTION
  "Static libraries, headers and a CMake package for programs of one's own: figures with uncertainty from\n\
measured discharges, electronic loads and meters by SCPI, and a simulated bench to try them on.")
include(CPack)
