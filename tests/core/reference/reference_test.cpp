#include "core/reference/reference.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "core/base/error.hpp"

using brookmark::Error;
using brookmark::ErrorCode;
using brookmark::core::abundance_classes;
using brookmark::core::AbundanceClass;
using brookmark::core::citation;
using brookmark::core::reference_file;

TEST_CASE("a reference table is found by its path, and an unknown one is a sentence") {
  CHECK(reference_file("taxa.csv").starts_with("name,rank,parent"));
  try {
    reference_file("nothing.csv");
    FAIL("a table appeared from nowhere");
  } catch (const Error& error) {
    CHECK(error.code() == ErrorCode::kNotFound);
    CHECK(std::string(error.what()).find("nothing.csv") != std::string::npos);
  }
}

TEST_CASE("a source key brings its citation, and an unknown one is a sentence") {
  CHECK(citation("hilsenhoff-1988").find("J. N. Am. Benthol. Soc. 7(1):65-68") != std::string::npos);
  CHECK(citation("hawkes-1997") == "Hawkes 1997, Water Research 32(3):964-968");
  try {
    citation("hearsay-2020");
    FAIL("a source appeared from nowhere");
  } catch (const Error& error) {
    CHECK(error.code() == ErrorCode::kNotFound);
    CHECK(std::string(error.what()).find("hearsay-2020") != std::string::npos);
  }
}

// US EPA 1997, EPA 841-B-97-003, sec. 4.2 (recalled); programme page "Macroinvertebrate Water Quality
// Rating"; Environment Agency biological indices note, River Habitat Survey manual Appendix 2.
TEST_CASE("abundance classes have the limits their sources print") {
  struct Row {
    const char *scheme, *code;
    long long least, most;
  };
  const std::vector<Row> expected = {{"rare-common-dominant", "R", 1, 9},
                                     {"rare-common-dominant", "C", 10, 99},
                                     {"rare-common-dominant", "D", 100, -1},
                                     {"abc-1-10-100", "A", 1, 9},
                                     {"abc-1-10-100", "B", 10, 99},
                                     {"abc-1-10-100", "C", 100, -1},
                                     {"log-a-e", "A", 1, 9},
                                     {"log-a-e", "B", 10, 99},
                                     {"log-a-e", "C", 100, 999},
                                     {"log-a-e", "D", 1000, 9999},
                                     {"log-a-e", "E", 10000, -1},
                                     {"ab1-ab4", "AB1", 1, 9},
                                     {"ab1-ab4", "AB2", 10, 99},
                                     {"ab1-ab4", "AB3", 100, 999},
                                     {"ab1-ab4", "AB4", 1000, -1}};
  const auto classes = abundance_classes();
  REQUIRE(classes.size() == expected.size());
  for (std::size_t i = 0; i < expected.size(); ++i) {
    CAPTURE(i);
    CHECK(classes[i].scheme == expected[i].scheme);
    CHECK(classes[i].code == expected[i].code);
    CHECK(classes[i].min_count == expected[i].least);
    CHECK(classes[i].max_count == expected[i].most);
    CHECK_FALSE(citation(classes[i].source_key).empty());
  }
}

TEST_CASE("the classes of a scheme start at one animal and leave no gap and no overlap") {
  const auto classes = abundance_classes();
  for (std::size_t i = 0; i < classes.size(); ++i) {
    CAPTURE(i);
    const bool first = i == 0 || classes[i - 1].scheme != classes[i].scheme;
    const bool last = i + 1 == classes.size() || classes[i + 1].scheme != classes[i].scheme;
    CHECK(classes[i].min_count == (first ? 1 : classes[i - 1].max_count + 1));
    CHECK((classes[i].max_count == -1) == last);
  }
}
