#pragma once
// Why a port cannot be had, in words that tell the user what to do about it.

#include <string>

namespace sagbench::drivers {

/// Of a program other than this one that has `device` open: "NAME (pid N)"; empty when none is
/// known. Programs of other users show only to root.
std::string other_holder(const std::string& device);

/// "in use by NAME (pid N)", or the best that is known.
std::string in_use(const std::string& device);

/// Whether the kernel writes its messages to `device`: an instrument there would take them for
/// commands.
bool is_console(const std::string& device);

/// One line for what open() said (an errno) about `device`: no such port, no permission and which
/// group to join, in use and by whom.
std::string why_not_opened(const std::string& device, int error);

}  // namespace sagbench::drivers
