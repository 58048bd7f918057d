# Read by CPack of a build with cmake/arm64.cmake, which would else ask about this computer's architecture and packages.
cmake_path(GET CMAKE_CURRENT_LIST_DIR PARENT_PATH root)
set(sysroot ${root}/build-arm64/sysroot)
set(CPACK_DEBIAN_PACKAGE_ARCHITECTURE arm64)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS_PRIVATE_DIRS ${sysroot}/usr/lib/aarch64-linux-gnu)
set(ENV{DEB_HOST_ARCH} arm64)
set(ENV{DPKG_ADMINDIR} ${sysroot}/var/lib/dpkg)
