// Why: the program as a user types it, without a process: words in; exit code, data and messages out.
// Use: Answer a = run({"score", survey, "--method", "bmwp-a"});  CHECK(a.code == 0);
#pragma once

#include <doctest/doctest.h>

#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "core/base/csv.hpp"
#include "tests/support/files.hpp"
#include "viewer/cli/cli.hpp"

namespace brookmark::test {

struct Answer {
  int code = -1;
  std::string out, err;

  // The CSV on standard output.
  core::Table table() const { return core::read_csv(out, "answer"); }
};

inline Answer run(const std::vector<std::string>& words) {
  std::vector<const char*> argv{"brookmark"};
  for (const std::string& word : words) argv.push_back(word.c_str());
  std::ostringstream out, err;
  const int code = viewer::run_command_line(static_cast<int>(argv.size()), argv.data(), out, err);
  return {code, out.str(), err.str()};
}

// As above, and the answer must be "done".
inline Answer run_well(const std::vector<std::string>& words) {
  Answer answer = run(words);
  INFO(answer.err);
  REQUIRE(answer.code == 0);
  return answer;
}

inline bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

// One demo survey for all tests of a file: they only read it.
inline const std::string& demo() {
  static const TemporaryFolder folder;
  static const std::string survey = [] {
    const std::string path = (folder / "demo.brook").string();
    run_well({"demo", path});
    return path;
  }();
  return survey;
}

// One cell by column name.
inline std::string cell(const core::Table& table, const core::TableRow& row, const std::string& column) {
  const auto index = table.find(column);
  REQUIRE_MESSAGE(index.has_value(), "no column " << column);
  return row.cells[*index];
}

}  // namespace brookmark::test
