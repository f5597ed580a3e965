// What is said beside a list of suggestions: each thing once.
#include "core/design/reminders.hpp"

#include <doctest/doctest.h>

using namespace brookmark::core;

namespace {

Suggestion spot(int number, const char* outfall = nullptr, double metres = 0, const char* caution = "") {
  Suggestion one;
  one.code = "NEW-" + std::to_string(number);
  one.caution = caution;
  if (outfall != nullptr) one.sewage_above = {outfall, metres};
  return one;
}

}  // namespace

TEST_CASE(
    "sewage above many spots is one line for each outfall, with their number and how far down they lie") {
  std::vector<Suggestion> list{spot(1)};
  for (int i = 2; i <= 201; ++i) list.push_back(spot(i, "OUT-2", 1000 - i));
  list.push_back(spot(202, "OUT-5", 120));
  const auto lines = warning_lines(list);
  REQUIRE(lines.size() == 2);
  CHECK(lines[0] ==
        "OUT-2 lets in sewage above 200 of these spots, 799 m (NEW-201) to 998 m (NEW-2) up: keep out after "
        "rain. Weil's disease and other infections: cover cuts and wash hands.");
  CHECK(
      lines[1] ==
      "NEW-202: OUT-5 lets in sewage 120 m above: keep out after rain. Weil's disease and other infections: "
      "cover cuts and wash hands.");
  CHECK(warning_lines({}).empty());
  CHECK(warning_lines(std::vector<Suggestion>{spot(1)}).empty());
}

TEST_CASE("cautions are told spot by spot, and of a long list how many more there are") {
  std::vector<Suggestion> list;
  for (int i = 1; i <= 13; ++i)
    list.push_back(spot(i, nullptr, 0, "below Kiln Pond: go there last and clean after"));
  const auto lines = warning_lines(list);
  REQUIRE(lines.size() == kMostCautions + 1);
  CHECK(lines[0] == "NEW-1: Below Kiln Pond: go there last and clean after.");
  CHECK(lines.back() == "and 3 more spots have such a word in the reason: read it before going there");
}
