// What lies above what along the channels, and what that means for risks, kit and contacts. A stream runs east along the
// axis; a pond lies on a side channel that joins it.
#include "core/hygiene/water_flow.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <limits>
#include <map>

#include "core/base/random.hpp"
#include "core/hygiene/tracing.hpp"
#include "tests/core/hygiene/hygiene_survey.hpp"
#include "tests/support/near.hpp"

using namespace brookmark;
using namespace brookmark::test;
using Kind = core::EntryWarning::Kind;

namespace {

core::MultiPolygon square(double east, double north, double half) {
  const core::Line ring{at_m(east - half, north - half), at_m(east + half, north - half),
                        at_m(east + half, north + half), at_m(east - half, north + half),
                        at_m(east - half, north - half)};
  return {core::Polygon{{ring}}};
}

//        Kiln Pond (K, at 500,500, 100 m wide; no site near its outflow)
//           |
//   S1------+--S2----------S3------->      Brook: S1 at 200, S2 at 1200, S3 at 2200; the side channel joins at 500
//   Moat lies apart.
HygieneSurvey valley() {
  HygieneSurvey s;
  s.channel({at_m(0, 0), at_m(500, 0)});
  s.channel({at_m(500, 0), at_m(3000, 0)});
  s.channel({at_m(500, 450), at_m(500, 0)});  // begins on the shore of the pond
  core::Water pond;
  pond.key = pond.name = "Kiln Pond";
  pond.kind = core::WaterKind::kPond;
  pond.shape = square(500, 500, 50);
  s.snapshot.waters.push_back(pond);
  s.site("S1", "Brook", at_m(200, 3), core::WaterKind::kStream);
  s.site("S2", "Brook", at_m(1200, 3), core::WaterKind::kStream);
  s.site("S3", "Brook", at_m(2200, 3), core::WaterKind::kStream);
  s.site("K", "Kiln Pond", at_m(470, 520));
  s.site("M", "Moat", at_m(500, -800));
  s.kit("N1");
  s.kit("N2");
  return s;
}

core::Contacts contacts(const HygieneSurvey& s, const std::string& water, const char* target = "ranavirus") {
  const HygieneBook book(s.snapshot);
  const core::BodyIndex body = *book.waters.find(water);
  core::TraceQuery query;
  if (const auto told = core::told_of(s.snapshot, book.waters, body, ""))
    query = told->query;
  else
    query = {body, {}, core::find_target(target)};
  return core::trace(s.snapshot, book.waters, book.history, query);
}

// "S1 from S3, S2 from S3": sites to which kit went up, and from where.
std::string ups(const HygieneSurvey& s, const core::Contacts& found) {
  std::string words;
  for (const core::UpstreamMove& move : found.upstream)
    words += (words.empty() ? "" : ", ") + std::string(s.snapshot.sites.code[move.step.in.site.value()]) +
             " from " + std::string(s.snapshot.sites.code[move.step.out.site.value()]);
  return words;
}

}  // namespace

TEST_CASE("water runs from the upper site to the lower one, along the channel, and never back") {
  const HygieneSurvey s = valley();
  const HygieneBook book(s.snapshot);
  const core::WaterFlow flow(s.snapshot, book.channels);
  REQUIRE(flow.down_m(s.at("S1"), s.at("S3")));
  CHECK(near(*flow.down_m(s.at("S1"), s.at("S3")), 2000, 0.01));  // the plane is right to 0.2 ppm here
  CHECK_FALSE(flow.down_m(s.at("S3"), s.at("S1")));
  CHECK_FALSE(flow.down_m(s.at("S1"), s.at("S1")));
  CHECK_FALSE(flow.is_on_channel(s.at("M")));
  CHECK_FALSE(flow.down_m(s.at("S1"), s.at("M")));
}

TEST_CASE("a pond lies above the channel that begins on its shore, though its site is on no channel") {
  const HygieneSurvey s = valley();
  const HygieneBook book(s.snapshot);
  const core::WaterFlow flow(s.snapshot, book.channels);
  CHECK(near(flow.down_m(s.at("K"), s.at("S2")).value_or(-1), 450 + 700, 0.01));
  CHECK_FALSE(flow.down_m(s.at("K"), s.at("S1")));  // above the mouth
  CHECK_FALSE(flow.down_m(s.at("S2"), s.at("K")));
  const auto& below = book.waters.below(*book.waters.find("Kiln Pond"));
  REQUIRE(below.size() == 1);
  CHECK(book.waters.name(below[0].body) == "Brook");
  CHECK(below[0].reached() ==
        std::vector<core::SiteIndex>{s.at("S2"), s.at("S3")});  // S1 lies above the mouth
  CHECK(book.waters.below(*book.waters.find("Brook")).empty());
}

TEST_CASE("in a canal that flows either way nothing lies above") {
  HygieneSurvey s;
  s.channel({at_m(0, 0), at_m(3000, 0)}, true);
  s.site("S1", "Cut", at_m(200, 3), core::WaterKind::kCanal);
  s.site("S2", "Cut", at_m(1200, 3), core::WaterKind::kCanal);
  const HygieneBook book(s.snapshot);
  CHECK_FALSE(book.waters.down_m(s.at("S1"), s.at("S2")));
  CHECK_FALSE(book.waters.down_m(s.at("S2"), s.at("S1")));
}

TEST_CASE("a risk is told of the waters below, and kit from there is cleaned of it too") {
  HygieneSurvey s = valley();
  s.use("N1", "S2", "2025-05-03T09:00");
  s.clean_well("N1", "2025-05-03T12:00");
  CHECK(s.state("N1", "2025-05-04").is_clean());
  s.risk("K", "parrot's feather", "2025-05-01", core::RiskStatus::kConfirmed);  // not met by that cleaning
  CHECK(s.open("N1", "2025-05-04") == "Brook");
  const HygieneBook book(s.snapshot);
  const core::BodyIndex brook = *book.waters.find("Brook"), moat = *book.waters.find("Moat");
  const core::Date day = moment("2025-05-04").date;
  const auto above = book.waters.risks_above(brook, day);
  REQUIRE(above.size() == 1);
  CHECK(book.waters.name(above[0].source) == "Kiln Pond");
  CHECK(book.waters.risks_above(moat, day).empty());
  CHECK_FALSE(book.waters.worst(brook, day));  // nothing is told of the brook itself
  const auto sentences = book.waters.risk_sentences(s.at("S2"), day);
  REQUIRE(sentences.size() == 1);
  CHECK(sentences[0] == "1150 m below Kiln Pond: parrot's feather confirmed since 1 May 2025 there");
  CHECK(book.waters.is_below_risk(s.at("S3"), day));
  CHECK(book.waters.risk_sentences(s.at("S3"), day).front().starts_with("2150 m below Kiln Pond: "));
  // Above the mouth it is the same water, and not below.
  CHECK_FALSE(book.waters.is_below_risk(s.at("S1"), day));
  CHECK(book.waters.risk_sentences(s.at("S1"), day)
            .front()
            .starts_with("on one water with S2, which lies 1150 m below Kiln Pond: "));
  CHECK(book.waters.risks_above(brook, moment("2025-04-30").date).empty());
}

TEST_CASE("contacts list the waters below the origin and below those that were entered") {
  HygieneSurvey s = valley();
  s.risk("M", "ranavirus", "2025-05-01");
  s.use("N1", "M", "2025-05-03T09:00");
  s.use("N1", "K", "2025-05-04T09:00");
  const core::Contacts found = contacts(s, "Moat");
  REQUIRE(found.entered.size() == 1);
  REQUIRE(found.below.size() == 1);
  CHECK(found.below[0].words == "1150 m below Kiln Pond along the channel: the water itself may bring it");
  // The brook is entered itself: it stands among the contacts, and only there.
  s.use("N1", "S1", "2025-05-05T09:00");
  CHECK(contacts(s, "Moat").below.empty());
  CHECK(contacts(s, "Moat").entered.size() == 2);
}

TEST_CASE("kit that went up its own stream is warned of, down it is not") {
  HygieneSurvey s = valley();
  s.use("N1", "S3", "2025-05-03T09:00");
  CHECK(s.warnings("N1", "S3", "2025-05-03T10:00").empty());
  const auto up = s.warnings("N1", "S1", "2025-05-03T10:00");
  REQUIRE(up.size() == 1);
  CHECK(up[0].kind == Kind::kUpstream);
  CHECK(
      up[0].text ==
      "N1 before Brook: it was at S3, 2000 m further down this water; used in Brook on 3 May 2025 at 09:00; "
      "not cleaned since. Kit goes down a water, never up. Clean it first.");
  s.use("N2", "S1", "2025-05-03T09:00");
  CHECK(s.warnings("N2", "S3", "2025-05-03T10:00").empty());
  // It went down again; it was at the foot all the same.
  s.use("N1", "S2", "2025-05-03T11:00");
  CHECK(s.warnings("N1", "S2", "2025-05-03T12:00").size() == 1);
  s.clean_well("N1", "2025-05-03T18:00");
  CHECK(s.warnings("N1", "S1", "2025-05-04").empty());
}

TEST_CASE("kit that went up from where something was found is traced, with what it met in between") {
  HygieneSurvey s = valley();
  s.risk("S2", "ranavirus", "2025-05-01");
  s.use("N1", "S3", "2025-05-03T09:00");  // below it, so it may be there
  s.use("N1", "S1", "2025-05-04T09:00");
  CHECK(ups(s, contacts(s, "Brook")) == "S1 from S3");
  CHECK(contacts(s, "Brook").upstream[0].words ==
        "N1: S3 on 3 May 2025 at 09:00, then 2000 m further up at S1 on 4 May 2025 at 09:00");
  CHECK(contacts(s, "Brook").entered.empty());
  // From above the place nothing comes, and up to a site below it nothing new is brought.
  HygieneSurvey t = valley();
  t.site("S0", "Brook", at_m(50, 3), core::WaterKind::kStream);
  t.risk("S2", "ranavirus", "2025-05-01");
  t.use("N1", "S1", "2025-05-03T09:00");
  t.use("N1", "S0", "2025-05-04T09:00");
  t.use("N2", "S3", "2025-05-03T09:00");
  t.use("N2", "S2", "2025-05-04T09:00");
  CHECK(ups(t, contacts(t, "Brook")) == "");
  // But once it was carried to S1, kit from there counts.
  t.use("N2", "S1", "2025-05-05T09:00");
  CHECK(ups(t, contacts(t, "Brook")) == "S1 from S2");
  t.use("N1", "S1", "2025-05-06T09:00");
  t.use("N1", "S0", "2025-05-07T09:00");
  CHECK(ups(t, contacts(t, "Brook")) == "S1 from S2, S0 from S1");
  // A cleaning that is enough ends it.
  t.clean_well("N2", "2025-05-04T18:00");
  CHECK(ups(t, contacts(t, "Brook")) == "");
}

// Six sites down one channel: the lower has the higher number. Every pair of uses of one item, to a fixed point.
TEST_CASE("moves up a stream agree with every pair of uses on random histories") {
  core::Random random(20260202, core::stream_of("moves up a stream"));
  const core::TargetIndex target = *core::find_target("ranavirus");
  for (int round = 0; round < 200; ++round) {
    CAPTURE(round);
    HygieneSurvey s;
    s.channel({at_m(0, 0), at_m(3000, 0)});
    for (int i = 0; i < 6; ++i)
      s.site("S" + std::to_string(i), "Brook", at_m(100 + 400 * i, 2), core::WaterKind::kStream);
    for (const char* kit : {"K0", "K1"}) s.kit(kit);
    const auto when = [&] {
      const std::string date = "2025-05-0" + std::to_string(1 + random.below(9));
      return random.below(4) == 0 ? date : date + "T" + std::to_string(10 + random.below(10)) + ":00";
    };
    for (std::size_t r = 3 + random.below(15); r > 0; --r) {
      const std::string kit = "K" + std::to_string(random.below(2));
      if (random.below(5) == 0)
        s.clean_well(kit, when());
      else
        s.use(kit, "S" + std::to_string(random.below(6)), when());
    }
    const HygieneBook book(s.snapshot);
    core::TraceQuery query{core::BodyIndex(0), moment("2025-05-02").date, target};
    const int place = static_cast<int>(random.below(6));
    query.places = {s.at("S" + std::to_string(place))};
    // From when on each site may have it.
    constexpr std::int64_t kNot = std::numeric_limits<std::int64_t>::max();
    std::vector<std::int64_t> from(6, kNot);
    for (int i = place; i < 6; ++i)
      from[static_cast<std::size_t>(i)] = core::span_of(moment("2025-05-02")).from_min;
    for (bool changed = true; changed;) {
      changed = false;
      for (const core::KitUse& out : s.snapshot.kit_uses)
        for (const core::KitUse& in : s.snapshot.kit_uses) {
          const std::size_t low = s.at(out.site_key).value(), high = s.at(in.site_key).value();
          const core::TimeSpan left = core::span_of(out.when), entered = core::span_of(in.when);
          if (in.kit_key != out.kit_key || high >= low || high >= static_cast<std::size_t>(place)) continue;
          if (from[low] == kNot || left.to_min < from[low] || entered.to_min < left.from_min) continue;
          bool cleaned = false;
          for (const core::Cleaning& c : s.snapshot.cleanings) {
            const core::TimeSpan work = core::work_span_of(c);
            cleaned = cleaned || (c.kit_key == out.kit_key && left.to_min < work.from_min &&
                                  work.to_min < entered.from_min);
          }
          if (cleaned || entered.from_min >= from[high]) continue;
          changed = true;
          for (std::size_t i = high; i < 6; ++i) from[i] = std::min(from[i], entered.from_min);
        }
    }
    // A site below one that was reached has it by the water: only what kit brought there first is asked of both.
    std::map<std::size_t, std::int64_t> found;
    for (const core::UpstreamMove& move :
         core::upstream_moves(s.snapshot, book.waters, book.history, query)) {
      found[move.step.in.site.value()] = move.step.in.when.from_min;
      CHECK(move.step.out.site.value() > move.step.in.site.value());
    }
    std::vector<std::int64_t> by_found(6, kNot);
    for (int i = place; i < 6; ++i)
      by_found[static_cast<std::size_t>(i)] = core::span_of(moment("2025-05-02")).from_min;
    for (const auto& [site, at] : found)
      for (std::size_t i = site; i < 6; ++i) by_found[i] = std::min(by_found[i], at);
    CHECK(by_found == from);
  }
}

TEST_CASE("without channels nothing is known of what lies above, and nothing is said") {
  HygieneSurvey s = valley();
  s.snapshot.reaches.clear();
  s.use("N1", "S3", "2025-05-03T09:00");
  s.use("N1", "S1", "2025-05-04T09:00");
  s.risk("K", "ranavirus", "2025-05-01");
  CHECK(s.warnings("N1", "S1", "2025-05-04T10:00").empty());
  CHECK(contacts(s, "Brook").upstream.empty());
  CHECK(contacts(s, "Kiln Pond").below.empty());
}
