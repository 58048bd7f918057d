# A ZIP for Windows: one folder with the program, the typeface of its reports, examples and documents. Nothing is to be
# installed.

set(CMAKE_SKIP_INSTALL_ALL_DEPENDENCY ON)  # a package needs no tests
# Not looked for where libraries for Windows are: the files are the same on every system.
find_path(SAGBENCH_DEJAVU DejaVuSans.ttf PATHS /usr/share/fonts/truetype/dejavu REQUIRED NO_CMAKE_FIND_ROOT_PATH)

install(TARGETS sagbench RUNTIME DESTINATION .)
install(FILES ${SAGBENCH_DEJAVU}/DejaVuSans.ttf ${SAGBENCH_DEJAVU}/DejaVuSans-Bold.ttf DESTINATION fonts)
install(FILES /usr/share/doc/fonts-dejavu-core/copyright DESTINATION fonts RENAME licence.txt)
install(FILES README.md CHANGELOG.md LICENSE DESTINATION .)
install(DIRECTORY docs examples DESTINATION .)
# The program where it is built needs them, too.
file(CREATE_LINK ${SAGBENCH_DEJAVU} ${PROJECT_BINARY_DIR}/bench/fonts SYMBOLIC)

set(CPACK_GENERATOR ZIP)
# The program's own files, which are of no component; not the libraries'.
set(CPACK_INSTALL_CMAKE_PROJECTS "${PROJECT_BINARY_DIR};${PROJECT_NAME};Unspecified;/")
set(CPACK_PACKAGE_FILE_NAME sagbench-${PROJECT_VERSION}-windows)
set(CPACK_STRIP_FILES ON)
set(CPACK_PACKAGE_DIRECTORY ${PROJECT_BINARY_DIR}/package)
set(CPACK_PACKAGE_VENDOR "the sagbench contributors")
include(CPack)
