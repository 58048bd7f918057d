// Other loggers' files: many forms are read, no doubtful content is.
#include "reports/measured_csv.hpp"

#include <fstream>
#include <sstream>

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "reports/csv_table.hpp"
#include "reports/samples_csv.hpp"

namespace sagbench::reports {
namespace {

using testing::TemporaryFolder;

class CsvFile {
 public:
  explicit CsvFile(const std::string& text) : path_(folder_.file("log.csv")) {
    std::ofstream(path_, std::ios::binary) << text;
  }
  std::vector<analysis::Sample> read(const CsvColumns& columns = {}) const {
    return read_measured_csv(path_, columns);
  }
  /// What is wrong, without the file's name; empty when nothing is.
  std::string refusal(const CsvColumns& columns = {}) const {
    try {
      read(columns);
    } catch (const CsvError& error) {
      const std::string message = error.what();
      REQUIRE(message.substr(0, path_.size()) == path_);
      return message.substr(path_.size());
    }
    return "";
  }

 private:
  TemporaryFolder folder_;
  std::string path_;
};

std::string refusal_of(const std::string& text) {
  return CsvFile(text).refusal();
}

}  // namespace

TEST_CASE("The plain form is read, and time begins at zero") {
  const auto samples =
      CsvFile("time_s,voltage_V,current_A\n10,13.2,1.5\n10.5,13.1,1.5\n10.5,13.0,-0.25\n").read();
  REQUIRE(samples.size() == 3);
  CHECK(samples[0].time_s == 0.0);
  CHECK(samples[1].time_s == 0.5);
  CHECK(samples[2].time_s == 0.5);  // equal time stamps are kept
  CHECK(samples[0].voltage_v == 13.2);
  CHECK(samples[0].current_a == 1.5);
  CHECK(samples[2].current_a == -0.25);
  for (const auto& sample : samples) {
    CHECK(sample.phase == analysis::Phase::imported);
    CHECK(sample.step == 0);
    CHECK_FALSE(sample.temperature_c.has_value());
    CHECK_FALSE(sample.commanded_since_s.has_value());
    CHECK(sample.cell_v.empty());
  }
}

// RFC 4180 for commas, quotes and CR LF; the other forms are common practice of loggers and
// spreadsheets, no source.
TEST_CASE("Spreadsheets' and loggers' forms all mean the same") {
  const std::string text = GENERATE(
      std::string("time_s,voltage_V,current_A,temperature_C\r\n0,13.25,2e-1,21\r\n"),
      std::string("time_s,voltage_V,current_A,temperature_C\r0,13.25,2e-1,21"),
      std::string("\xef\xbb\xbf"
                  "time_s;voltage_V;current_A;temperature_C\n0;13.25;0.2;21\n"),
      std::string("time_s\tvoltage_V\tcurrent_A\ttemperature_C\n0\t13.25\t0.2\t21\n"),
      std::string("\n  time_s , voltage_V,\tcurrent_A ,temperature_C\n\n 0 ,+13.25, .2,21 \n \n"),
      std::string("\"time_s\",\"voltage_V\",\"current_A\",\"temperature_C\"\n"
                  "\"0\",\" 13.25 \",\"0.20\",\"21\"\n"),
      std::string("remark,temperature_C,current_A,voltage_V,time_s\n"
                  "\"warm, \"\"dry\"\"; calm\",21,0.2,13.25,0,\n"));
  const auto samples = CsvFile(text).read();
  REQUIRE(samples.size() == 1);
  CHECK(samples[0].voltage_v == 13.25);
  CHECK(samples[0].current_a == 0.2);
  CHECK(samples[0].temperature_c == 21.0);
}

TEST_CASE("Columns may have other names, and the current the other sign") {
  const CsvFile file("t,U,I,T\n5,3.3,-2,\n6,3.2,-1.5,20\n7,3.4,0,\n");
  const CsvColumns columns{"t", "U", "I", "T", true, {}, {}};
  const auto samples = file.read(columns);
  REQUIRE(samples.size() == 3);
  CHECK(samples[0].current_a == 2.0);
  CHECK(samples[1].current_a == 1.5);
  CHECK_FALSE(std::signbit(samples[2].current_a));
  CHECK_FALSE(samples[0].temperature_c.has_value());  // a logger may read it less often
  CHECK(samples[1].temperature_c == 20.0);
}

TEST_CASE("A part of the file may be asked for, in its own time") {
  const CsvFile file("time_s,voltage_V,current_A\n10,1,0\n20,2,0\n30,3,0\n40,4,0\n");
  CsvColumns columns;
  columns.from_s = 20;
  columns.to_s = 30;
  const auto samples = file.read(columns);
  REQUIRE(samples.size() == 2);
  CHECK(samples[0].time_s == 0.0);
  CHECK(samples[0].voltage_v == 2.0);
  CHECK(samples[1].time_s == 10.0);

  columns.from_s = 41;
  columns.to_s = {};
  CHECK(file.refusal(columns) == ": no rows in the time asked for; the file's time is 10 to 40");
}

TEST_CASE("A missing column is named, with those there are and the way out") {
  const CsvFile file("t,volts,current_A\n0,1,2\n");
  CHECK(
      file.refusal() ==
      ":1: no column \"time_s\"; the file has t, volts, current_A; name another with --time NAME");
  CsvColumns columns;
  columns.time = "t";
  CHECK(file.refusal(columns) ==
        ":1: no column \"voltage_V\"; the file has t, volts, current_A; "
        "name another with --voltage NAME");
  columns.voltage = "volts";
  columns.temperature = "temp";
  CHECK(file.refusal(columns) ==
        ":1: no column \"temp\"; the file has t, volts, current_A; name "
        "another with --temperature NAME");
  columns.temperature = {};
  columns.current = "amps";
  CHECK(file.refusal(columns).find("--current NAME") != std::string::npos);
}

TEST_CASE("Text where a number belongs is refused with its line and column") {
  struct Case {
    std::string row;
    std::string refusal;
  };
  const Case wrong = GENERATE(
      Case{"1,abc,2", "column \"voltage_V\": \"abc\" is not a number"},
      Case{"1,3.3V,2", "column \"voltage_V\": \"3.3V\" is not a number"},
      Case{"1,0x10,2", "column \"voltage_V\": \"0x10\" is not a number"},
      Case{"1,+-3,2", "column \"voltage_V\": \"+-3\" is not a number"},
      Case{"1,+,2", "column \"voltage_V\": \"+\" is not a number"},
      Case{"1,,2", "column \"voltage_V\" is empty"},
      Case{"1,3.3,", "column \"current_A\" is empty"},
      Case{"1,nan,2", "column \"voltage_V\": \"nan\" is not a finite number"},
      Case{"1,-inf,2", "column \"voltage_V\": \"-inf\" is not a finite number"},
      Case{"1,1e999,2", "column \"voltage_V\": \"1e999\" is not a finite number"},
      Case{"1,\"3,3\",2",
           "column \"voltage_V\": \"3,3\" is not a number (write a decimal point, not a comma)"},
      Case{"1,3,3,2", "4 fields, but the header names 3"},
      Case{"1,3", "2 fields, but the header names 3"},
      Case{"1,\"3,2", "a quote is not closed, or text follows it"},
      Case{"1,\"3\"x,2", "a quote is not closed, or text follows it"},
      Case{"-1,3,2", "column \"time_s\": time runs backwards, -1 after 0"});
  // Line 4: a blank line and the CR LF of the first rows count as lines, once each.
  CHECK(refusal_of("time_s,voltage_V,current_A\r\n0,3.3,2\r\n\r\n" + wrong.row + "\n") ==
        ":4: " + wrong.refusal);
}

TEST_CASE("Temperature is held to the same rules when it is there") {
  CHECK(refusal_of("time_s,voltage_V,current_A,temperature_C\n0,1,2,warm\n") ==
        ":2: column \"temperature_C\": \"warm\" is not a number");
}

TEST_CASE("A doubtful file is refused as a whole") {
  CHECK(refusal_of("") == ": is empty");
  CHECK(refusal_of("\xef\xbb\xbf\r\n \n") == ": is empty");
  CHECK(refusal_of("time_s,voltage_V,current_A\n") == ": no rows after the header");
  CHECK(refusal_of("0,13.2,1\n1,13.1,1\n") ==
        ":1: no column \"time_s\"; the file has 0, 13.2, 1; name another with --time NAME");
  CHECK(refusal_of("time_s,voltage_V,current_A,time_s\n0,1,2,3\n") ==
        ":1: column \"time_s\" is there twice; name another with --time NAME");
  CHECK(refusal_of(std::string("\xff\xfet\0i\0", 6)) == ": is UTF-16 text; save it as UTF-8");

  const TemporaryFolder folder;
  const auto said_of = [](const std::string& path) -> std::string {
    try {
      read_measured_csv(path, {});
    } catch (const CsvError& error) {
      return error.what();
    }
    return "taken";
  };
  CHECK(said_of(folder.file("none.csv")) == folder.file("none.csv") + ": no such file");
  CHECK(said_of(folder.path().string()) ==
        folder.path().string() + ": is a folder; name a CSV file");
  // Opens, and fails at the first byte, as on a disk that breaks.
  CHECK(said_of("/proc/self/mem") == "/proc/self/mem: cannot be read");
}

TEST_CASE("The separator is the one the header uses most, outside quotes") {
  CHECK(detect_separator("a,b,c") == ',');
  CHECK(detect_separator("a;b;c") == ';');
  CHECK(detect_separator("a\tb") == '\t');
  CHECK(detect_separator("\"a,b,c,d\";b") == ';');
  CHECK(detect_separator("alone") == ',');
}

TEST_CASE("Exported samples are imported unchanged") {
  auto samples = testing::example_samples(0, 4);
  samples[1].temperature_c = 20.1;
  samples[2].cell_v = {3.3, 3.31};
  samples[2].voltage_age_s = 0.035;
  samples[2].missed_ticks = 4;
  samples[3].commanded_since_s = 0.25;
  samples[3].load_voltage_v = 13.01;
  std::ostringstream out;
  write_samples_csv(out, samples);
  const std::string text = out.str();
  CHECK(text.substr(0, text.find('\n')) ==
        "time_s,voltage_V,current_A,temperature_C,round_trip_s,commanded_A,commanded_since_s,"
        "load_voltage_V,step,phase,voltage_age_s,missed_ticks,cell_1_V,cell_2_V");
  CHECK(text.find(",2,discharge,0.035,4,3.3,3.31\n") != std::string::npos);

  const auto back = CsvFile(text).read();
  REQUIRE(back.size() == samples.size());
  for (std::size_t i = 0; i < samples.size(); ++i) {
    CHECK(back[i].time_s == samples[i].time_s);
    CHECK(back[i].voltage_v == samples[i].voltage_v);
    CHECK(back[i].current_a == samples[i].current_a);
    CHECK(back[i].temperature_c == samples[i].temperature_c);
  }
}

TEST_CASE("written samples come back whole, and nothing else does") {
  std::vector<analysis::Sample> samples(3);
  samples[0].voltage_v = 0.1 + 0.2;
  samples[0].cell_v = {3.3, 3.31};
  samples[1].time_s = 1.0 / 3.0;
  samples[1].phase = analysis::Phase::trip_search;
  samples[1].step = 4;
  samples[1].commanded_since_s = 0.25;
  samples[1].load_voltage_v = 13.01;
  samples[2].temperature_c = -4.5;
  samples[2].voltage_age_s = 0.035;
  samples[2].missed_ticks = 4;
  std::ostringstream out, again;
  write_samples_csv(out, samples);
  const auto back = read_samples_csv(out.str(), "s.csv");
  write_samples_csv(again, back);
  CHECK(again.str() == out.str());
  REQUIRE(back.size() == 3);
  CHECK(back[0].voltage_v == 0.1 + 0.2);
  CHECK(back[0].cell_v == samples[0].cell_v);
  CHECK(back[1].cell_v.empty());
  CHECK(back[1].time_s == 1.0 / 3.0);
  CHECK(back[1].phase == analysis::Phase::trip_search);
  CHECK(back[1].commanded_since_s == 0.25);
  CHECK_FALSE(back[2].commanded_since_s);
  CHECK(back[2].voltage_age_s == 0.035);

  const std::string head = out.str().substr(0, out.str().find('\n') + 1);
  for (const std::string line : {"1,2", "0,0,0,,0,0,,,0.5,rest,,0,,", "0,0,,,0,0,,,0,rest,,0,,",
                                 "0,0,nan,,0,0,,,0,rest,,0,,", "0,0,0,,0,0,,,0,rest,,0,,3.3"})
    CHECK_THROWS_AS(read_samples_csv(head + line + "\n", "s.csv"), CsvError);
  CHECK_THROWS_AS(read_samples_csv("", "s.csv"), CsvError);
  CHECK_THROWS_AS(read_samples_csv("time_s,voltage_V\n", "s.csv"), CsvError);
}

}  // namespace sagbench::reports
