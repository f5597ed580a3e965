#include "core/base/text.hpp"

#include <doctest/doctest.h>

#include <limits>

#include "core/base/uuid.hpp"

using namespace brookmark::core;

TEST_CASE("names are compared without case, accents, underscores and double spaces") {
  CHECK(fold_name("  Baetis_rhodani ") == "baetis rhodani");
  CHECK(fold_name("BAETIS   Rhodani") == "baetis rhodani");
  CHECK(fold_name("Gr\xC3\xB8n\xC3\xA5\x65n") == "gronaen");  // o-slash, a-ring
  CHECK(fold_name("\xC5\x81\xC3\xB3\x64\xC5\xBA") == "lodz");
  CHECK(fold_name("Stra\xC3\x9F\x65") == "strasse");
  CHECK(fold_name("e\xCC\x81t\xC3\xA9") == "ete");  // one accent combined, one precomposed
  CHECK(fold_name("Hepta.") == "hepta");
  CHECK(fold_name("\xD0\x96") == "\xD0\x96");  // letters without a Latin folding stay
}

TEST_CASE("broken UTF-8 is told from good") {
  CHECK(is_valid_utf8("plain"));
  CHECK(is_valid_utf8("\xE2\x82\xAC"));
  CHECK_FALSE(is_valid_utf8("\xFF"));
  CHECK_FALSE(is_valid_utf8("\xC0\x80"));      // overlong
  CHECK_FALSE(is_valid_utf8("\xED\xA0\x80"));  // surrogate
  CHECK_FALSE(is_valid_utf8("\xE2\x82"));      // cut off
}

TEST_CASE("a number is the whole text or nothing") {
  CHECK(parse_number("12.5") == 12.5);
  CHECK(parse_number(" +12.5 ") == 12.5);
  CHECK(parse_number("1e3") == 1000.0);
  CHECK(parse_number("12,5", ',') == 12.5);
  CHECK_FALSE(parse_number("12,5").has_value());
  CHECK_FALSE(parse_number("12.5", ',').has_value());
  CHECK_FALSE(parse_number("12 m").has_value());
  CHECK_FALSE(parse_number("").has_value());
  CHECK_FALSE(parse_number("nan").has_value());
  CHECK_FALSE(parse_number("inf").has_value());
  CHECK_FALSE(parse_number("1e999").has_value());
  CHECK(parse_integer("-7") == -7);
  CHECK_FALSE(parse_integer("7.0").has_value());
  CHECK_FALSE(parse_integer("99999999999999999999").has_value());
}

TEST_CASE("numbers are written as a hand would round them") {
  CHECK(format_fixed(2.675, 2) == "2.68");  // the double lies just below 2.675
  CHECK(format_fixed(-0.0004, 3) == "0.000");
  CHECK(format_fixed(4.25, 1) == "4.3");
  CHECK(format_fixed(12, 0) == "12");
  CHECK(format_number(0.1) == "0.1");
  CHECK(format_number(-0.0) == "0");
  CHECK(parse_number(format_number(1.0 / 3)) == 1.0 / 3);
}

TEST_CASE("the distance between words counts one for each slip of the hand") {
  CHECK(edit_distance("baetis", "baetis") == 0);
  CHECK(edit_distance("ecdyonorus", "ecdyonurus") == 1);  // replaced
  CHECK(edit_distance("gamarus", "gammarus") == 1);       // left out
  CHECK(edit_distance("gmamarus", "gammarus") == 1);      // swapped
  CHECK(edit_distance("", "abc") == 3);
  CHECK(edit_distance("kitten", "sitting") == 3);  // Levenshtein's textbook pair
}

TEST_CASE("text is split with its blanks trimmed") {
  CHECK(split("a| b ||c", '|') == std::vector<std::string>{"a", "b", "", "c"});
  CHECK(split("", '|').empty());
}

TEST_CASE("keys have the form of a version 4 UUID and the same seed gives the same keys") {
  const auto check_form = [](const std::string& key) {
    REQUIRE(key.size() == 36);
    CHECK(key[14] == '4');
    CHECK(std::string("89ab").find(key[19]) != std::string::npos);
    CHECK((key[8] == '-' && key[13] == '-' && key[18] == '-' && key[23] == '-'));
  };
  check_form(random_uuid());
  CHECK(random_uuid() != random_uuid());
  const KeySource a = seeded_uuids(7), b = seeded_uuids(7), c = seeded_uuids(8);
  const std::string first = a();
  check_form(first);
  CHECK(first == b());
  CHECK(first != c());
  CHECK(a() != first);
}
