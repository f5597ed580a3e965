// One visit, a few numbers, and what follows. Expected values: the tables of tests/reference/methods/11 or a hand
// calculation in the comment.
#include "core/chemistry/chemistry.hpp"

#include <doctest/doctest.h>

#include "core/base/text.hpp"
#include "core/chemistry/formulas.hpp"
#include "tests/core/intake/small_survey.hpp"
#include "tests/support/near.hpp"

namespace core = brookmark::core;
namespace test = brookmark::test;
using test::near;

namespace {

// Measurements at one visit: {"pH", "7.4", ""}, {"ammonia", "<0.05", "mg/l N"}.
struct Measured {
  const char *quantity, *value, *unit;
};

std::vector<core::ChemistryRow> at_visit(const std::vector<Measured>& list,
                                         const core::ChemistryOptions& options = {}) {
  core::Snapshot survey = test::small_survey();
  for (const Measured& one : list) {
    test::add_measurement(survey, 0, one.quantity, "1", one.unit);
    const std::string written = one.value;
    const bool low = written.starts_with("<");
    survey.measurements.below_detection.back() = low;
    survey.measurements.value.back() = core::parse_number(low ? written.substr(1) : written);
  }
  return core::chemistry_of(survey, options);
}

const core::ChemistryRow& derived(const std::vector<core::ChemistryRow>& rows, const std::string& quantity) {
  for (const core::ChemistryRow& row : rows)
    if (row.derived && row.quantity == quantity) return row;
  FAIL("nothing derived is called " << quantity);
  return rows.front();
}

bool says(const core::ChemistryRow& row, const char* part) {
  return row.note.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("oxygen gets its saturation from temperature and pressure") {
  const auto rows =
      at_visit({{"oxygen", "9.092", "mg/l"}, {"temperature", "20", "C"}, {"pressure", "760", "mmHg"}});
  REQUIRE(rows.size() == 4);
  const auto& row = derived(rows, "oxygen saturation");
  CHECK(near(row.value.value(), 100, 0.01));  // 9.092 mg/l at 20 C and 760 mmHg
  CHECK(row.unit == "%");
  CHECK(row.confirmed == core::Confirmed::kSecondary);
  CHECK(row.source.find("Benson & Krause 1984") != std::string::npos);
  CHECK(says(row, "salinity taken as 0"));
  // Fahrenheit, and a pressure off one atmosphere, whose term is recalled. 8.358 mg/l at 20 C and 700 mmHg.
  const auto low = at_visit({{"oxygen", "8.358", "mg/l"}, {"temp", "68", "F"}, {"pressure", "700", "mmHg"}});
  CHECK(near(derived(low, "oxygen saturation").value.value(), 100, 0.01));
  CHECK(derived(low, "oxygen saturation").confirmed == core::Confirmed::kMemory);
  const auto back =
      at_visit({{"oxygen", "100", "%"}, {"temperature", "20", "C"}, {"pressure", "1013.25", "hPa"}});
  CHECK(near(derived(back, "dissolved oxygen").value.value(), 9.092, 0.0006));
}

TEST_CASE("without temperature or pressure there is no saturation, and it says what is missing") {
  const auto none = at_visit({{"oxygen", "9", "mg/l"}});
  const auto& row = derived(none, "oxygen saturation");
  CHECK_FALSE(row.value.has_value());
  CHECK(says(row, "no water temperature was measured"));
  CHECK(says(row, "no air pressure was measured"));
  const auto given =
      at_visit({{"oxygen", "9", "mg/l"}, {"temperature", "20", "C"}}, {.pressure_hpa = 1013.25});
  CHECK(near(derived(given, "oxygen saturation").value.value(), 100 * 9 / 9.092, 0.01));
  CHECK(says(derived(given, "oxygen saturation"), "air pressure taken as 1013.25 hPa, as asked"));
  const auto hot = at_visit({{"oxygen", "9", "mg/l"}, {"temperature", "41", "C"}}, {.pressure_hpa = 1013.25});
  CHECK_FALSE(derived(hot, "oxygen saturation").value.has_value());
  CHECK(says(derived(hot, "oxygen saturation"), "0 to 40 C"));
}

TEST_CASE("a measured salinity is used") {
  const auto rows = at_visit({{"oxygen", "9", "mg/l"}, {"temperature", "20", "C"}, {"salinity", "10", "psu"}},
                             {.pressure_hpa = 1013.25});
  const auto fresh =
      at_visit({{"oxygen", "9", "mg/l"}, {"temperature", "20", "C"}}, {.pressure_hpa = 1013.25});
  CHECK(*derived(rows, "oxygen saturation").value > *derived(fresh, "oxygen saturation").value);
  CHECK_FALSE(says(derived(rows, "oxygen saturation"), "taken as 0"));
}

// pH 8.0, 20 C: share 0.03807 (11_nh3_percent_trussell.csv, by Emerson's equation).
TEST_CASE("total ammonia gets its un-ionised part where its unit says what it counts") {
  const auto rows = at_visit({{"ammonia", "2", "mg/l N"}, {"pH", "8", ""}, {"temperature", "20", "C"}});
  CHECK(near(derived(rows, "un-ionised share of ammonia").value.value(), 3.807, 0.0006));
  CHECK(near(derived(rows, "un-ionised ammonia").value.value(), 2 * 0.03807, 0.00002));
  CHECK(derived(rows, "un-ionised ammonia").confirmed == core::Confirmed::kMemory);
  const auto as_nh4 =
      at_visit({{"ammonium", "2000", "ug/l NH4"}, {"pH", "8", ""}, {"temperature", "20", "C"}});
  CHECK(near(derived(as_nh4, "un-ionised ammonia").value.value(), 2 * 14.007 / 18.039 * 0.03807, 0.00002));
  const auto unsaid = at_visit({{"ammonia", "2", "mg/l"}, {"pH", "8", ""}, {"temperature", "20", "C"}});
  CHECK(derived(unsaid, "un-ionised share of ammonia").value.has_value());
  CHECK_FALSE(derived(unsaid, "un-ionised ammonia").value.has_value());
  CHECK(says(derived(unsaid, "un-ionised ammonia"), "does not say what it counts"));
  const auto said = at_visit({{"ammonia", "2", "mg/l"}, {"pH", "8", ""}, {"temperature", "20", "C"}},
                             {.ammonia_as = core::CountedAs::kNh4});
  CHECK(near(derived(said, "un-ionised ammonia").value.value(), 2 * 14.007 / 18.039 * 0.03807, 0.00002));
  CHECK(says(derived(said, "un-ionised ammonia"), "counted as NH4, as asked"));
}

TEST_CASE("a value below detection stays a bound, and so does what follows from it") {
  const std::vector<Measured> list{
      {"ammonia", "<0.05", "mg/l N"}, {"pH", "8", ""}, {"temperature", "20", "C"}};
  const auto rows = at_visit(list);
  CHECK(rows[0].below_detection);
  CHECK_FALSE(rows[0].value.has_value());
  CHECK(rows[0].below.value() == 0.05);
  const auto& row = derived(rows, "un-ionised ammonia");
  CHECK_FALSE(row.value.has_value());
  CHECK(row.below_detection);
  CHECK(near(row.below.value(), 0.05 * 0.03807, 1e-6));
  CHECK(derived(rows, "un-ionised share of ammonia").value.has_value());
}

TEST_CASE("a number stands in for a value below detection only where asked, and says so") {
  const std::vector<Measured> list{
      {"ammonia", "<0.05", "mg/l N"}, {"pH", "8", ""}, {"temperature", "20", "C"}};
  const auto half = at_visit(list, {.below_detection = core::BelowDetection::kHalf});
  CHECK(near(half[0].value.value(), 0.025, 1e-12));
  CHECK(half[0].below_detection);
  CHECK(says(half[0], "half the limit of detection in place of \"below detection\", as asked"));
  CHECK(near(derived(half, "un-ionised ammonia").value.value(), 0.025 * 0.03807, 1e-6));
  CHECK(says(derived(half, "un-ionised ammonia"), "as asked"));
  CHECK(at_visit(list, {.below_detection = core::BelowDetection::kZero})[0].value.value() == 0);
  CHECK(at_visit(list, {.below_detection = core::BelowDetection::kLimit})[0].value.value() == 0.05);
  const auto unknown =
      at_visit({{"ammonia", "<", "mg/l N"}}, {.below_detection = core::BelowDetection::kHalf});
  CHECK_FALSE(unknown[0].value.has_value());
  CHECK(says(unknown[0], "the limit was not noted"));
}

TEST_CASE("conductivity is brought to 25 C, unless it says that it was already") {
  const auto rows = at_visit({{"conductivity", "1", "mS/cm"}, {"temperature", "15", "C"}});
  CHECK(near(derived(rows, "conductivity at 25 C").value.value(), 1236.09, 0.005));
  CHECK(says(derived(rows, "conductivity at 25 C"), "many meters"));
  for (const core::ChemistryRow& row :
       at_visit({{"specific conductance", "300", "uS/cm"}, {"temperature", "15", "C"}}))
    CHECK_FALSE(row.derived);
}

TEST_CASE("pH 20 is flagged, and no ammonia follows from it") {
  const auto rows = at_visit({{"ammonia", "2", "mg/l N"}, {"pH", "20", ""}, {"temperature", "20", "C"}});
  CHECK(rows[1].plausible == core::Plausible::kImpossible);
  CHECK(says(rows[1], "not possible (0 to 14"));
  CHECK_FALSE(derived(rows, "un-ionised ammonia").value.has_value());
  CHECK(says(derived(rows, "un-ionised ammonia"), "is not possible; correct it"));
}

TEST_CASE("a negative concentration is flagged, and nothing follows from it") {
  const auto rows = at_visit({{"ammonia", "-2", "mg/l"},
                              {"oxygen", "-1", "mg/l"},
                              {"pH", "8", ""},
                              {"temperature", "20", "C"},
                              {"pressure", "1000", "hPa"}});
  CHECK(rows[0].plausible == core::Plausible::kImpossible);
  CHECK(rows[1].plausible == core::Plausible::kImpossible);
  CHECK_FALSE(derived(rows, "un-ionised ammonia").value.has_value());
  CHECK_FALSE(derived(rows, "oxygen saturation").value.has_value());
  CHECK(says(derived(rows, "oxygen saturation"), "not possible"));
}

TEST_CASE("an unknown unit, a unit that does not fit and an unknown quantity say so, and keep the value") {
  const auto rows = at_visit({{"oxygen", "9", "furlong"}, {"pH", "8", "mg/l"}, {"colour", "3", ""}});
  REQUIRE(rows.size() == 3);
  CHECK(says(rows[0], "unit \"furlong\" is not known here"));
  CHECK(says(rows[1], "does not fit this quantity"));
  CHECK(says(rows[2], "no limits are known"));
  for (const auto& row : rows) CHECK(row.value.has_value());
}

TEST_CASE("of several temperatures of one visit the middle one is taken, and that is said") {
  const auto rows =
      at_visit({{"oxygen", "9", "mg/l"}, {"temperature", "19", "C"}, {"temperature", "21", "C"}},
               {.pressure_hpa = 1013.25});
  CHECK(near(derived(rows, "oxygen saturation").value.value(), 100 * 9 / 9.092, 0.01));
  CHECK(says(derived(rows, "oxygen saturation"), "the middle of 2 values of water temperature is taken"));
}

TEST_CASE("a value out of line is flagged, used, and its limits come with their source") {
  const auto rows = at_visit({{"Oxyg", "13", "%"}, {"Temp", "11", "C"}}, {.pressure_hpa = 1000});
  CHECK(rows[0].plausible == core::Plausible::kOutOfLine);
  CHECK(says(rows[0], "20 to 200 %"));
  CHECK(rows[0].source.find("Common practice") != std::string::npos);
  CHECK(derived(rows, "dissolved oxygen").value.has_value());
}

TEST_CASE("a survey without measurements has no chemistry") {
  CHECK(core::chemistry_of(core::Snapshot{}).empty());
  CHECK(at_visit({}).empty());
}
