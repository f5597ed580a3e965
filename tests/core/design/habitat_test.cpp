// What a survey knows of habitat at its spots, and choosing by it.
#include "core/design/habitat.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "core/base/error.hpp"
#include "core/design/variety.hpp"
#include "tests/core/design/design_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;

namespace {

// 2,400 m of brook with an arm from the right half way.
const char* const kBrook = R"(
    A
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    C<---E
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    |
    D
)";

struct Habitats : DesignSurvey {
  Habitats() : DesignSurvey(kBrook) {
    for (const char letter : {'A', 'C', 'D', 'E'}) drawn.site(letter);
    refresh();
    note({{"A", "riffle, cobbles"}, {"D", "glide, silt"}});
  }
  void note(const std::vector<std::pair<std::string, std::string>>& of_site) {
    TextColumn habitat;
    for (std::size_t s = 0; s < snapshot.sites.size(); ++s) {
      std::string words;
      for (const auto& [code, noted] : of_site)
        if (snapshot.sites.code[s] == code) words = noted;
      habitat.append(words);
    }
    snapshot.sites.habitat = habitat;
  }
  void measure(const std::string& code, const std::string& quantity, double value, const std::string& unit) {
    const SiteIndex site = snapshot.find_site(code).value();
    auto& visits = snapshot.visits;
    for (TextColumn* column :
         {&visits.key, &visits.people, &visits.weather, &visits.conditions, &visits.note})
      column->append("v");
    visits.site.push_back(site);
    visits.start.push_back(parse_moment("2024-06-01").value());
    auto& all = snapshot.measurements;
    all.key.append("m");
    all.quantity.append(quantity);
    all.unit.append(unit);
    all.verbatim_value.append("");
    all.note.append("");
    all.visit.emplace_back(visits.size() - 1);
    all.sample.emplace_back(SampleIndex::none());
    all.value.emplace_back(value);
    all.below_detection.push_back(false);
  }
  SpotFrame spots(const SpotOptions& options = {}) const {
    const LocalFrame frame(kInventedOrigin);
    const KeepOut out(snapshot, {}, frame);
    return find_spots(snapshot, drawn.network, {}, options, out, frame);
  }
  Suggestions by(const std::vector<HabitatChoice>& choices, std::size_t count = 2,
                 const HeightAt& height = {}) const {
    return suggest_variety(source(), {.count = count, .spots = {.on = SpotOn::kBoth}}, {choices, height});
  }
  double south_of_a(const Suggestion& s) const { return metres_from('A', s); }
};

std::string refusal(const auto& ask) {
  try {
    ask();
  } catch (const Error& error) {
    return error.what();
  }
  return "nothing was refused";
}

}  // namespace

TEST_CASE("a note on habitat is read word by word") {
  CHECK(habitat_words("Riffle, gravel and silt") == std::vector<std::string>{"gravel", "riffle", "silt"});
  CHECK(habitat_words(" run / sand;SAND ") == std::vector<std::string>{"run", "sand"});
  CHECK(habitat_words("alder stand").size() == 1);
  CHECK(habitat_words("").empty());
}

TEST_CASE(
    "a site speaks for 500 m of its channel, to the next confluence and no farther, and the nearest of two") {
  Habitats d;
  const SpotFrame all = d.spots();
  const auto sites = sites_for_spots(d.source(), all.spots);
  REQUIRE(sites.size() == all.spots.size());
  std::size_t spoken = 0;
  for (std::size_t i = 0; i < all.spots.size(); ++i) {
    const double south = geodesic_m(d.drawn.river.at('A'), all.spots[i].position);
    const bool on_stem = std::abs(all.spots[i].position.lon - d.drawn.river.at('A').lon) < 2e-5;
    CAPTURE(south);
    std::string code = sites[i] ? std::string(d.snapshot.sites.code[sites[i]->value()]) : "";
    spoken += code.empty() ? 0 : 1;
    // C stands on the confluence: it speaks for the water below it alone.
    if (!on_stem)
      CHECK(code == "E");
    else if (south < 1200)
      CHECK(code == (south <= 500 ? "A" : ""));
    else
      CHECK(code == (south <= 1700 ? "C" : south >= 1900 ? "D" : ""));
  }
  CHECK(spoken > 30);
}

TEST_CASE("by habitat the spots chosen are those at which it was noted, and each way once") {
  Habitats d;
  const Suggestions s = d.by({{HabitatVariable::kHabitat, {}}});
  REQUIRE(s.list.size() == 2);
  const double first = d.south_of_a(s.list[0]), second = d.south_of_a(s.list[1]);
  CHECK(std::min(first, second) <= 500);
  CHECK(std::max(first, second) >= 1900);
  CHECK(says(s.notes, "spots at which all that was asked for is known"));
  std::string reasons = s.list[0].reason + s.list[1].reason;
  CHECK(reasons.find("cobbles and riffle as habitat, as 20 of all are") != std::string::npos);
  CHECK(reasons.find("glide and silt as habitat, as 20 of all are") != std::string::npos);
  // Unasked it is left out, since it is known at some spots only, and that is told.
  const Suggestions all = d.by({});
  CHECK(says(all.notes, "left out unless asked for: habitat (40)"));
  CHECK(says(all.notes, "(by east, north, "));
}

TEST_CASE("two habitats that share a word differ less than two that share none") {
  Habitats d;
  d.note({{"A", "riffle, cobbles"}, {"C", "riffle, gravel"}, {"D", "glide, silt"}, {"E", "riffle, cobbles"}});
  const Suggestions two = d.by({{HabitatVariable::kHabitat, {}}});
  // Of three ways the pair without a common word: one is D's.
  bool glide = false;
  for (const Suggestion& s : two.list) glide = glide || s.reason.find("glide and silt") != std::string::npos;
  CHECK(glide);
  const Suggestions three = d.by({{HabitatVariable::kHabitat, {}}}, 3);
  std::vector<Spot> spots;
  for (const Suggestion& s : three.list) spots.push_back(s.spot);
  const HabitatColumn chosen = habitat_column(d.source(), spots, {HabitatVariable::kHabitat, {}}, {});
  CHECK(std::set<std::vector<std::string>>(chosen.words.begin(), chosen.words.end()).size() == 3);
}

TEST_CASE("what was measured at sites parts spots, by any of its names, in one unit") {
  Habitats d;
  d.measure("A", "temperature", 8, "degC");
  d.measure("A", "temp", 10, "degC");
  d.measure("D", "temperature", 64.4, "F");  // 18 degC
  const HabitatChoice choice =
      parse_habitat_choice("Temperature", d.snapshot, parse_date("2024-12-31").value());
  CHECK(choice.variable == HabitatVariable::kMeasured);
  const SpotFrame all = d.spots();
  const HabitatColumn column = habitat_column(d.source(), all.spots, choice, {});
  for (std::size_t i = 0; i < all.spots.size(); ++i) {
    const double south = geodesic_m(d.drawn.river.at('A'), all.spots[i].position);
    const bool on_stem = std::abs(all.spots[i].position.lon - d.drawn.river.at('A').lon) < 2e-5;
    CHECK(column.knows(i) == (on_stem && (south <= 500 || south >= 1900)));
    if (column.knows(i)) CHECK(near(*column.numbers[i], south <= 500 ? 9 : 18, 1e-9));
  }
  const Suggestions s = d.by({choice});
  REQUIRE(s.list.size() == 2);
  CHECK((s.list[0].reason + s.list[1].reason).find("Temperature of 18 ") != std::string::npos);
}

TEST_CASE("height and fall come of the terrain model; without one they are refused") {
  Habitats d;
  CHECK(refusal([&] {
          d.by({{HabitatVariable::kSlope, {}}});
        }).starts_with("altitude and slope take a terrain model"));
  // The brook falls by 40 m in 1000 m for 1,200 m, and by 2 m in 1000 m after that.
  const LonLat a = d.drawn.river.at('A');
  const HeightAt height = [&](LonLat place) -> std::optional<double> {
    const double south = geodesic_m(a, {a.lon, place.lat});
    return south <= 1200 ? 100 - 0.04 * south : 52 - 0.002 * (south - 1200);
  };
  const SpotFrame all = d.spots();
  const HabitatColumn slope = habitat_column(d.source(), all.spots, {HabitatVariable::kSlope, {}}, height);
  const HabitatColumn altitude =
      habitat_column(d.source(), all.spots, {HabitatVariable::kAltitude, {}}, height);
  for (std::size_t i = 0; i < all.spots.size(); ++i) {
    if (std::abs(all.spots[i].position.lon - a.lon) > 2e-5) continue;  // the arm is level
    const double south = geodesic_m(a, all.spots[i].position);
    REQUIRE(slope.knows(i));
    CHECK(near(*slope.numbers[i], south < 1200 ? 40 : 2, 0.01));
    CHECK(near(*altitude.numbers[i], *height(all.spots[i].position), 1e-9));
  }
  const Suggestions s = d.by({{HabitatVariable::kSlope, {}}}, 2, height);
  CHECK((s.list[0].reason + s.list[1].reason).find("a fall of 40.0 m in 1000 m, where half of all have ") !=
        std::string::npos);
  // Off the model nothing is known.
  const HabitatColumn none = habitat_column(d.source(), all.spots, {HabitatVariable::kAltitude, {}},
                                            [](LonLat) { return std::optional<double>(); });
  CHECK(none.known() == 0);
}

TEST_CASE("a variable that there is not, and one that nobody noted, are refused with what there is") {
  Habitats d;
  const Date day = parse_date("2024-12-31").value();
  const std::string unknown = refusal([&] { parse_habitat_choice("colour", d.snapshot, day); });
  CHECK(unknown.starts_with("there is no variable \"colour\": choose of east, north, order"));
  CHECK(unknown.find("it has no measurements") != std::string::npos);
  d.measure("A", "temperature", 8, "degC");
  CHECK(refusal([&] { parse_habitat_choice("colour", d.snapshot, day); }).find("temperature") !=
        std::string::npos);
  d.note({});
  const std::string nobody = refusal([&] { d.by({{HabitatVariable::kHabitat, {}}}); });
  CHECK(nobody.find("none has all that was asked for: known is habitat at 0; what is noted or measured at a "
                    "site speaks for "
                    "500 m") != std::string::npos);
  // Known apart, and nowhere together.
  d.note({{"D", "glide"}});
  CHECK(refusal([&] {
          d.by({{HabitatVariable::kHabitat, {}}, {HabitatVariable::kMeasured, "temperature"}});
        }).find("habitat at 20, temperature at 20") != std::string::npos);
}

TEST_CASE("the kind of water is that of a water itself, and of a named channel that of its sites") {
  Habitats d;
  for (Reach& reach : d.snapshot.reaches) reach.name = "Tarn Beck";
  TextColumn water;
  for (std::size_t s = 0; s < d.snapshot.sites.size(); ++s) {
    water.append("Tarn Beck");
    d.snapshot.sites.kind[s] = WaterKind::kStream;
  }
  d.snapshot.sites.water = water;
  const LonLat corner = d.drawn.river.beside('A', 900, 900);
  d.snapshot.waters.push_back(
      {"w",
       "Pool",
       WaterKind::kPool,
       {Polygon{
           {{corner, {corner.lon + 0.001, corner.lat}, {corner.lon + 0.001, corner.lat + 0.001}, corner}}}}});
  const Suggestions s = d.by({{HabitatVariable::kKind, {}}});
  REQUIRE(s.list.size() == 2);
  const std::string reasons = s.list[0].reason + s.list[1].reason;
  CHECK(reasons.find("a pool, as 1 of all is") != std::string::npos);
}
