#include "nist_file.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <sstream>

#include "catch.hpp"

namespace sagbench::testing {
namespace {

std::vector<double> numbers_of(const std::string& text) {
  std::vector<double> numbers;
  std::istringstream words(text);
  for (double number = 0.0; words >> number;) numbers.push_back(number);
  return numbers;
}

/// The number that ends a line with `label` in it; other lines leave `value` alone.
void take(const std::string& line, const std::string& label, double& value) {
  const auto at = line.find(label);
  if (at == std::string::npos) return;
  std::istringstream words(line.substr(at + label.size()));
  std::string last;
  for (std::string word; words >> word;) last = word;
  const auto numbers = numbers_of(last);
  if (!numbers.empty()) value = numbers.front();
}

/// "b1 = start start certified error" or "B1 certified error".
void take_parameter(const std::string& line, NistFile& file) {
  const auto at = line.find_first_not_of(" \t");
  if (at == std::string::npos || (line[at] != 'b' && line[at] != 'B')) return;
  const auto behind = line.find_first_not_of("0123456789", at + 1);
  if (behind == at + 1 || behind == std::string::npos) return;
  auto rest = line.substr(behind);
  const auto equals = rest.find('=');
  if (equals != std::string::npos) rest = rest.substr(equals + 1);
  const auto numbers = numbers_of(rest);
  if (numbers.size() == 4) {
    file.starts.resize(2);
    file.starts[0].push_back(numbers[0]);
    file.starts[1].push_back(numbers[1]);
    file.parameters.push_back({numbers[2], numbers[3]});
  } else if (numbers.size() == 2 && equals == std::string::npos) {
    file.parameters.push_back({numbers[0], numbers[1]});
  }
}

void take_head(const std::string& line, NistFile& file) {
  take_parameter(line, file);
  take(line, "Residual Sum of Squares:", file.residual_squares);
  take(line, "Residual Standard Deviation:", file.residual_sd);
  take(line, "     Standard Deviation ", file.residual_sd);
  take(line, "R-Squared", file.r_squared);
  take(line, "Sample Mean", file.mean);
  take(line, "Sample Standard Deviation (denom. = n-1)", file.standard_deviation);
  take(line, "(lag 1) r(1):", file.lag_1);
}

}  // namespace

std::vector<double> NistFile::column(std::size_t index) const {
  std::vector<double> values;
  for (const auto& row : rows) values.push_back(row.at(index));
  return values;
}

NistFile nist_file(const std::string& name) {
  std::ifstream stream(SAGBENCH_TEST_DATA "/reference/data/nist/" + name + ".dat");
  REQUIRE(stream);
  NistFile file;
  bool data = false;
  for (std::string line; std::getline(stream, line);) {
    const auto numbers = numbers_of(line);
    if (data && !numbers.empty()) file.rows.push_back(numbers);
    if (!data) take_head(line, file);
    data = data || (line.starts_with("Data:") && line.find_first_of("yY", 5) < 20 &&
                    line.find("Response") == std::string::npos);
  }
  REQUIRE_FALSE(file.rows.empty());
  return file;
}

double digits(double found, double certified, double most) {
  const double scale = certified == 0.0 ? 1.0 : std::abs(certified);
  const double difference = std::abs(found - certified) / scale;
  if (difference == 0.0) return most;
  return std::min(most, -std::log10(difference));
}

}  // namespace sagbench::testing
