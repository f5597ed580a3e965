#include <doctest/doctest.h>

#include <algorithm>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/sharing/free_text_internal.hpp"
#include "core/sharing/hand_over.hpp"
#include "tests/support/files.hpp"
#include "tests/support/secret_survey.hpp"

using namespace brookmark::core;  // NOLINT: many words of the trade in one place
using brookmark::test::secret_survey;
using brookmark::test::TemporaryFolder;
using brookmark::test::with_crayfish;

namespace {

std::string all_text(const Snapshot& s) {
  std::string text = s.survey.title + "|" + s.survey.description + "|";
  const auto add = [&](const TextColumn& column) {
    for (std::size_t i = 0; i < column.size(); ++i) text += std::string(column[i]) + "|";
  };
  for (const TextColumn* column : {&s.sites.code,
                                   &s.sites.name,
                                   &s.sites.water,
                                   &s.sites.habitat,
                                   &s.sites.note,
                                   &s.sites.type,
                                   &s.visits.people,
                                   &s.visits.weather,
                                   &s.visits.conditions,
                                   &s.visits.note,
                                   &s.samples.code,
                                   &s.samples.note,
                                   &s.samples.protocol,
                                   &s.samples.effort_unit,
                                   &s.records.note,
                                   &s.records.verbatim_name,
                                   &s.records.verbatim_quantity,
                                   &s.records.qualifier,
                                   &s.records.class_code,
                                   &s.records.class_scheme,
                                   &s.taxa.key,
                                   &s.taxa.name,
                                   &s.measurements.note,
                                   &s.measurements.quantity,
                                   &s.measurements.unit,
                                   &s.measurements.verbatim_value})
    add(*column);
  for (const RawPosition& raw : s.sites.raw) text += raw.x + "|" + raw.y + "|" + raw.note + "|";
  for (const Outfall& o : s.outfalls) text += o.code + "|" + o.name + "|" + o.note + "|";
  for (const Reach& r : s.reaches) text += r.name + "|" + r.note + "|";
  for (const Catchment& c : s.catchments) text += c.code + "|" + c.name + "|";
  for (const Water& w : s.waters) text += w.name + "|";
  return text;
}

bool tells(const std::string& text, const char* word) {
  return text.find(word) != std::string::npos;
}

}  // namespace

TEST_CASE("an open survey leaves as it is") {
  const TemporaryFolder folder;
  Snapshot all = secret_survey(folder / "a.brook");
  std::fill(all.sites.sharing.begin(), all.sites.sharing.end(), Sharing::kOpen);
  all.people.push_back({"k", "Bob Baker", "", true});
  const SharedSurvey shared = share(all);
  CHECK(shared.hidden().empty());
  const Snapshot& s = shared.snapshot();
  CHECK(all_text(s) == all_text(all));
  CHECK(s.sites.position == all.sites.position);
  CHECK(s.samples.date == all.samples.date);
  CHECK(s.samples.record_begin == all.samples.record_begin);
  CHECK(s.records.count_min == all.records.count_min);
  CHECK(s.records.taxon == all.records.taxon);
  CHECK(s.measurements.value == all.measurements.value);
  CHECK(s.reaches.size() == 2);
  CHECK(s.waters.size() == 2);
  CHECK(s.catchments.size() == 2);
}

TEST_CASE("a blurred site has no place to compute with, a cell to show, and none of its words") {
  const TemporaryFolder folder;
  const SharedSurvey shared = share(secret_survey(folder / "a.brook"));
  const Snapshot& s = shared.snapshot();
  REQUIRE(s.sites.size() == 5);  // the withheld spring stays at home
  const std::string text = all_text(s);
  for (const char* word : {"Otter", "Holt", "Q02", "Newt", "P01", "W01", "Nameless", "alder", "Hidden Farm",
                           "50.0153", "50.0312", "Bob", "Baker"})
    CHECK_MESSAGE(!tells(text, word), std::string(word));
  CHECK(tells(text, "Ann Archer"));
  CHECK(tells(text, "Footbridge"));
  std::size_t blurred = 0;
  for (std::size_t i = 0; i < s.sites.size(); ++i) {
    const SharedPlace& place = shared.places()[i];
    if (!place.blurred) {
      CHECK(place.position == s.sites.position[i]);
      continue;
    }
    ++blurred;
    CHECK(std::string(s.sites.code[i]).starts_with("blurred-5ec2e7"));
    CHECK_FALSE(is_placed(s.sites.position[i]));
    CHECK(is_placed(place.position));
    CHECK(place.uncertainty_m.value() > 700);
  }
  CHECK(blurred == 2);
  CHECK(s.sites.code.size() == s.sites.size());
  for (std::size_t i = 1; i < s.sites.size(); ++i) CHECK(s.sites.code[i - 1] < s.sites.code[i]);
  for (std::size_t i = 1; i < s.samples.size(); ++i) CHECK(s.samples.site[i - 1] <= s.samples.site[i]);
  // What is drawn around a hidden place is gone: the pond, the catchment named after the site and the one around its cell,
  // and the cut in the brook.
  REQUIRE(s.waters.size() == 1);
  CHECK(s.waters[0].name == "Long Lake");
  CHECK(s.catchments.empty());
  REQUIRE(s.reaches.size() == 1);
  CHECK(s.reaches[0].line == Line{{-30, 50.032}, {-30, 49.996}});
  CHECK(s.people.empty());
  CHECK(s.sensitive_taxa.empty());
}

TEST_CASE("the preview names each thing that stays at home, and why") {
  const TemporaryFolder folder;
  const SharedSurvey shared = share(with_crayfish(secret_survey(folder / "a.brook"), Sharing::kWithheld));
  const auto told = [&](const char* layer, const char* code) {
    return std::count_if(shared.hidden().begin(), shared.hidden().end(),
                         [&](const HiddenItem& item) { return item.layer == layer && item.code == code; });
  };
  CHECK(told("sites", "Q02") == 1);
  CHECK(told("sites", "P01") == 1);
  CHECK(told("sites", "W01") == 1);
  CHECK(told("samples", "Q04-2023") == 1);
  CHECK(told("waters", "Newt Pond") == 1);
  CHECK(told("catchments", "Q02") == 1);
  CHECK(told("people", "Bob Baker") == 1);
  CHECK(told("people", "Ann Archer") == 0);
  CHECK(told("notes", "Q02") == 1);
  CHECK(told("reaches", "") == 1);
}

TEST_CASE("a sample with a withheld animal stays at home whole, and with it every trace of the animal") {
  const TemporaryFolder folder;
  const Snapshot all = secret_survey(folder / "a.brook");
  const SharedSurvey shared = share(with_crayfish(all, Sharing::kWithheld));
  const Snapshot& s = shared.snapshot();
  CHECK(s.find_sample("Q04-2024").has_value());
  CHECK_FALSE(s.find_sample("Q04-2023").has_value());
  for (std::size_t r = 0; r < s.records.size(); ++r)
    CHECK(s.taxa.name[s.records.taxon[r].value()] != "Austropotamobius");
  // The site itself is open still: nothing points at it.
  const auto q04 = s.find_site("Q04");
  REQUIRE(q04.has_value());
  CHECK_FALSE(shared.places()[q04->value()].blurred);
  // Nor is there a visit without a sample, or a measurement without one, that others do not have.
  CHECK(std::count(s.measurements.sample.begin(), s.measurements.sample.end(), SampleIndex::none()) == 0);
  std::vector<int> samples_of(s.visits.size());
  for (const VisitIndex visit : s.samples.visit) ++samples_of[visit.value()];
  CHECK(std::count(samples_of.begin(), samples_of.end(), 0) == 0);
}

TEST_CASE("of a visit with two samples the one without the withheld animal stays, with its measurements") {
  const TemporaryFolder folder;
  Snapshot all = with_crayfish(secret_survey(folder / "a.brook"), Sharing::kWithheld);
  const std::size_t secret = all.find_sample("Q04-2023")->value(),
                    other = all.find_sample("Q04-2024")->value();
  all.samples.visit[other] = all.samples.visit[secret];
  const SharedSurvey shared = share(all);
  const Snapshot& s = shared.snapshot();
  REQUIRE(s.find_sample("Q04-2024").has_value());
  CHECK_FALSE(s.find_sample("Q04-2023").has_value());
}

TEST_CASE("a site with a blurred animal is blurred, by the larger of the two cells") {
  const TemporaryFolder folder;
  const Snapshot all = secret_survey(folder / "a.brook");
  const SharedSurvey plain = share(all);
  const auto open_site = plain.snapshot().find_site("Q04");
  REQUIRE(open_site.has_value());
  const SharedSurvey shared = share(with_crayfish(all, Sharing::kBlurred, 5000.0), {.cell_m = 1000});
  CHECK_FALSE(shared.snapshot().find_site("Q04").has_value());
  double largest = 0;
  for (const SharedPlace& place : shared.places()) largest = std::max(largest, place.cell_m);
  CHECK(largest == 5000);
  CHECK(shared.snapshot().records.size() == plain.snapshot().records.size());
}

TEST_CASE("names leave only with consent, and nobody's where nobody is to be named") {
  const TemporaryFolder folder;
  const Snapshot all = secret_survey(folder / "a.brook");
  CHECK_FALSE(tells(all_text(share(all).snapshot()), "Baker"));
  const std::string none = all_text(share(all, {.people = false}).snapshot());
  CHECK_FALSE(tells(none, "Archer"));
  CHECK(tells(none, "[name left out]"));  // in the survey's description
  CHECK(names_in("A. Smith, B. Jones & C. Brown; D and E") ==
        std::vector<std::string>{"A. Smith", "B. Jones", "C. Brown", "D", "E"});
  CHECK(names_in("Sandy Andrews") == std::vector<std::string>{"Sandy Andrews"});
}

TEST_CASE("visits after the last day stay at home") {
  const TemporaryFolder folder;
  const SharedSurvey shared = share(secret_survey(folder / "a.brook"), {.until = parse_date("2023-12-31")});
  for (const Moment& start : shared.snapshot().visits.start) CHECK(format_date(start.date) <= "2023-12-31");
  CHECK(shared.snapshot().samples.size() == 5);  // one each of Q01, Q02, Q03, P01 and Q04
  CHECK_THROWS_AS(share(secret_survey(folder / "b.brook"), {.cell_m = 1}), brookmark::Error);
}

TEST_CASE("phrases are found by whole words, whatever their case and accents") {
  PhraseList list;
  list.add("Otter Holt", 3);
  list.add("N-02", 4);
  CHECK(list.find("below the OTTER  holt.")->number == 3);
  CHECK(list.find("at N 02, left bank")->number == 4);
  CHECK_FALSE(list.find("an otter, a holter").has_value());
  CHECK(list.find("at n02.")->number == 4);
  CHECK_FALSE(list.find("N021").has_value());
  CHECK_FALSE(list.find("N02b").has_value());
  CHECK_FALSE(list.find("EN-02").has_value());
  CHECK_FALSE(list.find("").has_value());
  CHECK(without_names("ask Otter Holt or otter holt", list) == "ask [name left out] or [name left out]");
  CHECK(tells_a_site("Q1"));
  CHECK(tells_a_site("123"));
  CHECK_FALSE(tells_a_site("12"));
}

namespace {

void set(TextColumn& column, std::size_t row, std::string_view text) {
  TextColumn changed;
  for (std::size_t i = 0; i < column.size(); ++i) changed.append(i == row ? text : column[i]);
  column = changed;
}

MultiPolygon square(LonLat p, double half) {
  return {{{{{p.lon - half, p.lat - half},
             {p.lon + half, p.lat - half},
             {p.lon + half, p.lat + half},
             {p.lon - half, p.lat + half},
             {p.lon - half, p.lat - half}}}}};
}

}  // namespace

TEST_CASE("the water that a withheld site lies on stays at home, whatever its name") {
  const TemporaryFolder folder;
  const brookmark::test::SecretPlaces at;
  Snapshot all = secret_survey(folder / "a.brook", at);
  all.sites.kind[all.find_site("W01")->value()] = WaterKind::kPond;
  for (const char* name : {"W01 pool", "Green Pool", ""}) {
    CAPTURE(name);
    Snapshot more = all;
    more.waters.push_back(
        {"5ec2e772-0000-4000-8000-000000000072", name, WaterKind::kPond, square(at.spring, 1e-4)});
    const SharedSurvey shared = share(more);
    REQUIRE(shared.snapshot().waters.size() == 1);
    CHECK(shared.snapshot().waters[0].name == "Long Lake");
    CHECK(std::count_if(shared.hidden().begin(), shared.hidden().end(),
                        [](const HiddenItem& item) { return item.layer == "waters"; }) == 2);
  }
  // A pond far off that is named after the site, and one that has the name of the site's water.
  Snapshot far = all;
  far.waters.push_back({"5ec2e773-0000-4000-8000-000000000073", "Nameless Spring", WaterKind::kPond,
                        square({-30.4, 50.4}, 1e-4)});
  set(far.sites.water, far.find_site("W01")->value(), "Round Mere");
  far.waters.push_back({"5ec2e774-0000-4000-8000-000000000074", "round mere", WaterKind::kPond, {}});
  CHECK(share(far).snapshot().waters.size() == 1);
}

TEST_CASE("a river stays on which an open site lies as well as a blurred one, and goes with a withheld one") {
  const TemporaryFolder folder;
  Snapshot all = secret_survey(folder / "a.brook");
  const auto q02 = all.find_site("Q02")->value();
  all.waters.push_back(
      {"5ec2e772-0000-4000-8000-000000000072", "", WaterKind::kRiver, square({-30, 50.016}, 0.02)});
  CHECK(share(all).snapshot().waters.size() == 2);
  all.sites.sharing[q02] = Sharing::kWithheld;
  CHECK(share(all).snapshot().waters.size() == 1);
  all.sites.sharing[q02] = Sharing::kBlurred;
  all.waters.back().shape = square({-30, 50.016}, 0.005);  // no other site lies on it
  CHECK(share(all).snapshot().waters.size() == 1);
}

TEST_CASE("of catchments those go that reach into the cell, not those whose box alone does") {
  const TemporaryFolder folder;
  const brookmark::test::SecretPlaces at;
  Snapshot all = secret_survey(folder / "a.brook", at);
  const BoundingBox cell = blur_cell(at.brook, 1000).box;
  // A corner of its box covers the cell; the triangle itself stays well to the south-west of it.
  const MultiPolygon beside = {{{{{cell.min_lon - 0.1, cell.max_lat + 0.02},
                                  {cell.min_lon - 0.1, cell.min_lat - 0.1},
                                  {cell.max_lon + 0.02, cell.min_lat - 0.1},
                                  {cell.min_lon - 0.1, cell.max_lat + 0.02}}}}};
  MultiPolygon with_hole = square(at.brook, 0.3);
  with_hole[0].rings.push_back(square(at.brook, 0.05)[0].rings[0]);
  all.catchments.push_back({"5ec2e782-0000-4000-8000-000000000082", "BESIDE", "", beside});
  all.catchments.push_back({"5ec2e783-0000-4000-8000-000000000083", "RING", "", with_hole});
  const SharedSurvey shared = share(all);
  REQUIRE(shared.snapshot().catchments.size() == 2);
  CHECK(shared.snapshot().catchments[0].code == "BESIDE");
  CHECK(shared.snapshot().catchments[1].code == "RING");
  const auto why = [&](const char* code) {
    for (const HiddenItem& item : shared.hidden())
      if (item.layer == "catchments" && item.code == code) return item.why;
    return std::string();
  };
  CHECK(why("Q02") == "it is named after site Q02");
  CHECK(tells(why("ALL"), "reaches into the grid cell of site Q02"));
}

TEST_CASE(
    "a hidden site and somebody without consent are named in no text at all, and the preview counts them") {
  const TemporaryFolder folder;
  Snapshot all = secret_survey(folder / "a.brook");
  const std::size_t q01 = all.find_site("Q01")->value(), sample = all.find_sample("Q01-2023")->value();
  const std::size_t record = all.samples.record_begin[sample];
  std::size_t measurement = 0;
  while (all.measurements.sample[measurement] != SampleIndex(sample)) ++measurement;
  std::size_t taxon = 0;
  while (all.taxa.name[taxon] != "Gammaridae") ++taxon;
  const std::size_t plain_measurements = share(all).snapshot().measurements.size();
  for (const std::string secret : {"OTTER holt", "q02", "Q-02", "Q 02", "w01", "Cay Cooper", "bob baker"}) {
    CAPTURE(secret);
    Snapshot more = all;
    more.survey.title = "Around " + secret;
    set(more.sites.code, q01, "above " + secret);
    set(more.sites.type, q01, "like " + secret);
    set(more.samples.code, sample, secret + "/1");
    set(more.samples.protocol, sample, "as at " + secret);
    set(more.samples.effort_unit, sample, "steps of " + secret);
    set(more.records.verbatim_name, record, "Baetis of " + secret);
    set(more.records.verbatim_quantity, record, "40 (" + secret + ")");
    set(more.records.qualifier, record, "cf. " + secret);
    set(more.records.class_scheme, record, "of " + secret);
    set(more.records.class_code, record, "as " + secret);
    more.taxa.listed[taxon] = false;
    set(more.taxa.name, taxon, "worm of " + secret);
    set(more.taxa.key, taxon, "own:worm of " + secret);
    set(more.measurements.unit, measurement, "mg at " + secret);
    more.outfalls[0].code = secret + " drain";
    more.outfalls[0].name = "drain below " + secret;
    more.reaches[0].name = "leat to " + secret;
    more.waters[1].name = "Pool of " + secret;
    more.catchments[0].name = "Land of " + secret;
    const SharedSurvey shared = share(more);
    const Snapshot& s = shared.snapshot();
    std::string text = fold_name(all_text(s));
    CHECK_FALSE(tells(text, fold_name(secret).c_str()));
    // What is left is whole: as many rows, and their codes in order.
    CHECK(s.samples.size() == 10);
    CHECK(s.measurements.size() == plain_measurements - 1);
    for (std::size_t i = 1; i < s.sites.size(); ++i) CHECK(s.sites.code[i - 1] < s.sites.code[i]);
    const auto found = s.find_sample("sample-" + std::string(all.samples.key[sample]).substr(0, 8));
    CHECK((found.has_value() || s.find_sample("sample-" + std::string(all.samples.key[sample])).has_value()));
    const auto told = [&](const char* layer) {
      return std::count_if(shared.hidden().begin(), shared.hidden().end(),
                           [&](const HiddenItem& item) { return item.layer == layer; });
    };
    CHECK(told("notes") >= 1);
    CHECK(told("outfalls") == 1);
    CHECK(told("samples") == 1);
    CHECK(told("measurements") == 1);
  }
}

TEST_CASE("a rule for a genus holds for a record whose name, listed or not, begins with it") {
  const TemporaryFolder folder;
  Snapshot all = secret_survey(folder / "a.brook");
  const auto q04 = all.find_sample("Q04-2024");
  REQUIRE(q04.has_value());
  TextColumn names;
  for (std::size_t r = 0; r < all.records.size(); ++r)
    names.append(all.records.sample[r] == *q04 ? "Triturus Cristatus"
                                               : std::string(all.records.verbatim_name[r]));
  all.records.verbatim_name = names;
  SensitiveTaxon rule;
  rule.name = "triturus";
  rule.sharing = Sharing::kWithheld;
  all.sensitive_taxa.push_back(rule);
  CHECK_FALSE(share(all).snapshot().find_sample("Q04-2024").has_value());
  all.sensitive_taxa.back().name = "Trit";  // part of a word is none
  CHECK(share(all).snapshot().find_sample("Q04-2024").has_value());
}
