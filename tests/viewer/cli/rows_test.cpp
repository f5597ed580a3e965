#include "viewer/cli/rows.hpp"

#include <doctest/doctest.h>

#include <sstream>

using namespace brookmark::viewer;

namespace {

std::string printed(const Rows& rows, Format format, std::size_t width = 0) {
  std::ostringstream out;
  print(rows, format, out, width);
  return out.str();
}

const Rows kRows{
    {"site", "distance_m", "on_channel", "note"},
    {{text("S1"), number(812.44, 1), true, {}}, {text("a, \"b\""), {}, false, text("no channel near")}}};

}  // namespace

TEST_CASE("CSV quotes what needs it and leaves unknown cells empty") {
  CHECK(printed(kRows, Format::kCsv) ==
        "site,distance_m,on_channel,note\nS1,812.4,yes,\n\"a, \"\"b\"\"\",,no,no channel near\n");
}

TEST_CASE("JSON has the same names, numbers as numbers and null for unknown") {
  CHECK(printed(kRows, Format::kJson) ==
        "[\n{\"site\":\"S1\",\"distance_m\":812.4,\"on_channel\":true,\"note\":null},\n"
        "{\"site\":\"a, \\\"b\\\"\",\"distance_m\":null,\"on_channel\":false,\"note\":\"no channel "
        "near\"}\n]\n");
  CHECK(printed({{"a"}, {}}, Format::kJson) == "[]\n");
}

TEST_CASE("a table sets numbers to the right and wraps a long last column") {
  const Rows rows{
      {"n", "text"},
      {{number(5, 0), text("one two three four five six seven")}, {number(12, 0), text("eight")}}};
  CHECK(printed(rows, Format::kTable, 30) ==
        " n  text\n──────────────────────────────\n 5  one two three four five\n    six seven\n12  eight\n");
}

TEST_CASE("a table measures characters, not bytes") {
  const Rows rows{{"name", "n"}, {{text("\xC3\x85\xC3\xA5"), number(1, 0)}, {text("abcd"), number(2, 0)}}};
  CHECK(printed(rows, Format::kTable) == "name  n\n───────\n\xC3\x85\xC3\xA5    1\nabcd  2\n");
}

TEST_CASE("an exact number is shown with the decimals it has") {
  CHECK(printed({{"n"}, {{exact(4.25)}, {exact(3)}, {exact(0.3)}, {exact_or_empty({})}}}, Format::kCsv) ==
        "n\n4.25\n3\n0.3\n\n");
}
