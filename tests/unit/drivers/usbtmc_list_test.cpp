#include "drivers/usbtmc_list.hpp"

#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>

#include "catch.hpp"

namespace sagbench::drivers::test {
namespace {

namespace fs = std::filesystem;

/// A folder laid out as the kernel does: classes hold links to nodes, nodes to their USB interface.
struct FakeSysfs {
  FakeSysfs()
      : root(fs::temp_directory_path() / ("usbtmc_list_test." + std::to_string(::getpid()))) {
    fs::create_directories(classes());
  }
  ~FakeSysfs() { fs::remove_all(root); }
  FakeSysfs(const FakeSysfs&) = delete;
  FakeSysfs& operator=(const FakeSysfs&) = delete;

  fs::path classes() const { return root / "class/usbmisc"; }
  fs::path add(const std::string& name, const std::string& bus_id) const {
    fs::path device = root / "devices" / bus_id;
    const fs::path interface = device / (bus_id + ":1.0");
    const fs::path node = interface / "usbmisc" / name;
    fs::create_directories(node);
    fs::create_directory_symlink(interface, node / "device");
    fs::create_directory_symlink(node, classes() / name);
    write(interface / "bInterfaceNumber", "00");
    return device;
  }
  static void write(const fs::path& file, const std::string& text) {
    std::ofstream(file) << text << '\n';
  }

  fs::path root;
};

}  // namespace

TEST_CASE("nodes are listed with what their device says of itself") {
  const FakeSysfs sysfs;
  sysfs.add("usbtmc1", "1-2");
  sysfs.add("hiddev0", "1-3");
  const fs::path device = sysfs.add("usbtmc0", "1-4");
  FakeSysfs::write(device / "idVendor", "1209");  // 1209:0001 is open for tests (pid.codes)
  FakeSysfs::write(device / "idProduct", "0001");
  FakeSysfs::write(device / "product", "Bench load");
  FakeSysfs::write(device / "serial", "Q17");
  const auto nodes = list_usbtmc(sysfs.classes());
  REQUIRE(nodes.size() == 2);
  CHECK(nodes[0].name == "/dev/usbtmc0");
  CHECK(nodes[0].description == "Bench load");
  REQUIRE(nodes[0].usb);
  CHECK(vendor_and_product(*nodes[0].usb) == "1209:0001");
  CHECK(nodes[0].usb->serial == "Q17");
  CHECK(nodes[0].usb->interface == "00");
  CHECK(nodes[1].name == "/dev/usbtmc1");
  CHECK(nodes[1].description.empty());
}

TEST_CASE("without nodes the list is empty") {
  const FakeSysfs sysfs;
  CHECK(list_usbtmc(sysfs.classes()).empty());
  CHECK(list_usbtmc(sysfs.root / "absent").empty());
}

}  // namespace sagbench::drivers::test
