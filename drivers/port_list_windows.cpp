#include <windows.h>

#include <algorithm>
#include <array>
#include <cwchar>
#include <filesystem>

#include "drivers/port_list.hpp"

namespace sagbench::drivers {
namespace {

// Where drivers of serial ports tell of them: the values' names are the devices', their data
// "COM3".
constexpr const wchar_t* kKey = L"HARDWARE\\DEVICEMAP\\SERIALCOMM";

struct Key {
  Key() : opened(RegOpenKeyExW(HKEY_LOCAL_MACHINE, kKey, 0, KEY_QUERY_VALUE, &handle)) {}
  ~Key() {
    if (opened == ERROR_SUCCESS) RegCloseKey(handle);
  }
  Key(const Key&) = delete;
  Key& operator=(const Key&) = delete;

  HKEY handle = nullptr;
  LSTATUS opened;
};

std::string utf8(const wchar_t* text) {
  return std::filesystem::path(text).string();
}

/// Empty behind the last.
std::optional<PortInfo> entry(const Key& key, DWORD index) {
  std::array<wchar_t, 256> name{};
  std::array<wchar_t, 256> port{};
  auto name_size = static_cast<DWORD>(name.size());
  auto port_bytes = static_cast<DWORD>((port.size() - 1) * sizeof(wchar_t));  // the end stays zero
  DWORD type = 0;
  if (RegEnumValueW(key.handle, index, name.data(), &name_size, nullptr, &type,
                    reinterpret_cast<BYTE*>(port.data()), &port_bytes) != ERROR_SUCCESS)
    return std::nullopt;
  return PortInfo{utf8(port.data()), utf8(name.data()), std::nullopt};
}

}  // namespace

// Windows keeps a port's number to its adapter: the name alone is enough to find it again.
Result<std::vector<PortInfo>> list_ports() {
  const Key key;
  std::vector<PortInfo> ports;
  if (key.opened == ERROR_FILE_NOT_FOUND) return ports;  // there never was one
  if (key.opened != ERROR_SUCCESS)
    return Error{ErrorKind::disconnected, "the system does not list its serial ports"};
  for (DWORD index = 0; const auto found = entry(key, index); ++index) ports.push_back(*found);
  std::ranges::sort(ports, {}, &PortInfo::name);
  return ports;
}

std::optional<PortInfo> port_at(const std::string& path) {
  const Result<std::vector<PortInfo>> ports = list_ports();
  if (!ports) return std::nullopt;
  const auto found = std::ranges::find(*ports, path, &PortInfo::name);
  if (found == ports->end()) return std::nullopt;
  return *found;
}

}  // namespace sagbench::drivers
