// Faults to exit codes.

#include <fmt/format.h>

#include <cerrno>
#include <cstdio>
#include <exception>
#include <system_error>

#include "bench/commands/command_line.hpp"
#include "bench/files/input_error.hpp"
#include "bench/safety/stop.hpp"
#include "bench/system/program_start.hpp"
#include "reports/archive.hpp"
#include "reports/measured_csv.hpp"
#include "reports/test_report.hpp"

namespace {

using namespace sagbench;

constexpr int kDefect = 1;
constexpr int kUserFault = 2;

int fail(int code, const char* message) {
  for (const char* part : {"sagbench: ", message, "\n"}) std::fputs(part, stderr);
  return code;
}

/// What was to be printed could not all be, for that reason. Whoever closed a pipe has seen enough.
int unprinted(int code, const std::error_code& why) {
  if (why == std::errc::broken_pipe) return code;
  return fail(kUserFault, fmt::format("the output cannot be written: {}", why.message()).c_str());
}

/// What is left to be printed is, so that a full disk is not taken for a result.
int all_printed(int code) {
  if (std::fflush(stdout) == 0) return code;
  return unprinted(code, {errno, std::generic_category()});
}

int defect(const std::exception& error) {
  return fail(kDefect,
              fmt::format("a defect of sagbench, please report it: {}", error.what()).c_str());
}

}  // namespace

int main(int argc, char** argv) {
  bench::ProgramStart start(argc, argv);
  try {
    return all_printed(bench::parse_and_run(start.argc(), start.argv()));
  } catch (const bench::InputError& error) {
    return fail(kUserFault, error.what());
  } catch (const bench::Stop& stop) {
    return fail(static_cast<int>(stop.end()), stop.what());
  } catch (const reports::ArchiveError& error) {
    return fail(kUserFault, error.what());
  } catch (const reports::ReportError& error) {
    return fail(kUserFault, error.what());
  } catch (const reports::CsvError& error) {
    return fail(kUserFault, error.what());
  } catch (const std::system_error& error) {
    return std::ferror(stdout) != 0 ? unprinted(0, error.code()) : defect(error);
  } catch (const std::exception& error) {
    return defect(error);
  }
}
