#include "core/taxa/name_likeness_internal.hpp"

#include <doctest/doctest.h>

#include <random>
#include <string>

#include "core/base/text.hpp"
#include "core/taxa/trigram_index_internal.hpp"
#include "tests/support/near.hpp"

using brookmark::core::edit_distance;
using brookmark::core::kLongestCompared;
using brookmark::core::likeness;
using brookmark::core::TrigramIndex;
using brookmark::test::near;

namespace {

constexpr double kFloat = 1e-6;  // the weights are held as floats

double slips(const std::string& a, const std::string& b) {
  const auto found = likeness(a, b, kLongestCompared);
  REQUIRE(found.has_value());
  return found->slips;
}

}  // namespace

// Each by hand from the weights in the header.
TEST_CASE("a slip that people make often counts half") {
  CHECK(near(slips("baetis", "baetis"), 0, kFloat));
  CHECK(near(slips("gamarus", "gammarus"), 0.5, kFloat));        // m halved
  CHECK(near(slips("gammmarus", "gammarus"), 0.5, kFloat));      // m doubled
  CHECK(near(slips("dafnia", "daphnia"), 0.5, kFloat));          // f for ph
  CHECK(near(slips("daphnia", "dafnia"), 0.5, kFloat));          // the same the other way
  CHECK(near(slips("rithrogena", "rhithrogena"), 0.5, kFloat));  // silent h
  CHECK(near(slips("calopterix", "calopteryx"), 0.5, kFloat));   // i for y
  CHECK(near(slips("beatis", "baetis"), 0.5, kFloat));           // neighbours swapped
  CHECK(near(slips("betis", "baetis"), 0.5, kFloat));            // one of two vowels
  CHECK(near(slips("ecdyonorus", "ecdyonurus"), 0.6, kFloat));   // vowel for vowel
  CHECK(near(slips("elmidar", "elmidae"), 0.6, kFloat));         // r beside e on the keyboard
  CHECK(near(slips("baetpis", "baetis"), 1.0, kFloat));          // any other letter
  CHECK(near(slips("kaetis", "baetis"), 1.5, kFloat));           // another first letter
}

TEST_CASE("the distance is the optimal string alignment distance, cut off at the limit") {
  std::mt19937 random(20240717);
  std::size_t above = 0, within = 0;
  for (int round = 0; round < 20'000; ++round) {
    std::string a, b;
    for (std::size_t i = random() % 9; i > 0; --i) a += static_cast<char>('a' + random() % 4);
    for (std::size_t i = random() % 9; i > 0; --i) b += static_cast<char>('a' + random() % 4);
    const std::size_t limit = random() % 5, distance = edit_distance(a, b);
    const auto found = likeness(a, b, limit);
    CAPTURE(a);
    CAPTURE(b);
    REQUIRE(found.has_value() == (distance <= limit));
    if (found) {
      CHECK(found->distance == distance);
      CHECK(found->slips >= 0);
    }
    ++(found ? within : above);
  }
  CHECK(above > 1000);
  CHECK(within > 1000);
}

TEST_CASE("texts that are too long are compared with nothing") {
  const std::string longest(kLongestCompared, 'a'), longer(kLongestCompared + 1, 'a');
  CHECK(likeness(longest, longest, 0).has_value());
  CHECK_FALSE(likeness(longer, longer, 0).has_value());
  CHECK(likeness("", "", 0).has_value());
  CHECK(likeness("", "ab", 2)->distance == 2);
}

TEST_CASE("the index gives the names that share enough runs of three letters") {
  const TrigramIndex index({"baetis", "baetidae", "gammarus", "", "b"});
  TrigramIndex::Scratch scratch;
  using Found = std::vector<std::uint32_t>;
  CHECK(index.candidates("baetis", scratch) == Found{0, 1, 4});  // "  b" is a run too
  CHECK(index.candidates("gamarus", scratch) == Found{2});
  CHECK(index.candidates("xyzxyz", scratch).empty());
  CHECK(index.candidates("", scratch) == Found{3});  // nothing, between blanks, is nothing between blanks
  CHECK(index.candidates("baetis", scratch) == Found{0, 1, 4});  // the scratch was left clean
  CHECK(TrigramIndex().candidates("baetis", scratch).empty());
}
