#include "core/analysis/exposure.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "tests/core/network/ascii_river.hpp"
#include "tests/support/near.hpp"

using namespace brookmark::core;
using brookmark::test::AsciiRiver;
using brookmark::test::kCellM;
using brookmark::test::near;

namespace {

// Outfalls p and q on the stem, r on a tributary below s; sites s and t on the stem, u on the tributary, and a pond.
const char* const kRiver = R"(
A-p---s---+---t---B
          |
          u
          |
          C)";

Outfall outfall(const char* code, LonLat at, std::optional<double> strength = {}) {
  Outfall o;
  o.code = code;
  o.position = at;
  o.strength = strength;
  return o;
}

Snapshot survey(const AsciiRiver& river) {
  Snapshot s;
  s.reaches = river.reaches();
  std::swap(s.reaches.back().line.front(), s.reaches.back().line.back());  // the tributary runs up the page
  const auto site = [&](LonLat at, WaterKind kind) {
    s.sites.position.push_back(at);
    s.sites.kind.push_back(kind);
  };
  site(river.at('s'), WaterKind::kStream);
  site(river.at('t'), WaterKind::kStream);
  site(river.at('u'), WaterKind::kStream);
  site(river.beside('s', 0, 60), WaterKind::kPond);
  site(kUnplaced, WaterKind::kStream);
  return s;
}

const Date kDay = *parse_date("2024-05-01");

}  // namespace

TEST_CASE("exposure adds up strength by distance along the channel, worked out by hand") {
  const AsciiRiver river(kRiver);
  Snapshot s = survey(river);
  s.outfalls = {outfall("P", river.at('p'), 2.0), outfall("C", river.at('C'))};
  const ChannelNetwork network = build_channels(s.reaches);
  const std::vector<Date> days(s.sites.size(), kDay);
  ExposureOptions options;
  options.decay_m = 500;
  const auto found = exposure_of_sites(s, network, days, options);
  // p to s: 4 cells; p to t: 12; C to u: 2, C to t: 4 + 4.
  const double cell = kCellM / 500;
  CHECK(near(found[0].exposure.value(), 2 * std::exp(-4 * cell), 1e-6));
  CHECK(near(found[1].exposure.value(), 2 * std::exp(-12 * cell) + std::exp(-8 * cell), 1e-6));
  CHECK(found[1].outfalls == 2);
  CHECK(found[1].unstated == 1);
  CHECK(s.outfalls[found[1].nearest.value().value()].code == "C");
  CHECK(near(found[1].nearest_m.value(), 8 * kCellM, 0.01));
  CHECK(near(found[2].exposure.value(), std::exp(-2 * cell), 1e-6));
  // A pond beside the stream is on no channel, and a site without a position has no place: not zero, but unknown.
  CHECK_FALSE(found[3].exposure.has_value());
  CHECK(found[3].note.find("no channel within 10 m") != std::string::npos);
  CHECK_FALSE(found[4].exposure.has_value());
}

TEST_CASE("an outfall counts on the days on which it is in use, and within the distance asked for") {
  const AsciiRiver river(kRiver);
  Snapshot s = survey(river);
  s.outfalls = {outfall("P", river.at('p')), outfall("C", river.at('C'))};
  s.outfalls[0].since = parse_date("2024-05-02");
  const ChannelNetwork network = build_channels(s.reaches);
  std::vector<Date> days(s.sites.size(), kDay);
  CHECK(exposure_of_sites(s, network, days, {})[0].exposure ==
        0.0);  // nothing upstream on that day: a true zero
  days[0] = *parse_date("2024-05-02");
  CHECK(exposure_of_sites(s, network, days, {})[0].outfalls == 1);
  ExposureOptions options;
  options.within_m = 3 * kCellM;
  const auto found = exposure_of_sites(s, network, days, options);
  CHECK(found[0].exposure == 0.0);
  CHECK(found[1].exposure == 0.0);
  CHECK(found[2].outfalls == 1);
}

TEST_CASE("exposure and value are compared by rank over the sites that have both") {
  // Five sites, the value falling strictly with exposure: rho is -1, and of 5! arrangements one is as low.
  Assessment assessment;
  std::vector<SiteExposure> exposure;
  for (int i = 0; i < 5; ++i) {
    SiteExposure e;
    e.exposure = i * i;
    exposure.push_back(e);
    SiteAssessment a;
    a.has_value = a.in_scope = true;
    a.value = 100 - i;
    assessment.sites.push_back(a);
  }
  SiteExposure unknown;
  exposure.push_back(unknown);  // no exposure
  assessment.sites.push_back(assessment.sites[0]);
  exposure.push_back(exposure[0]);
  assessment.sites.push_back({});  // no value
  const ExposureRelation relation = relate_exposure(exposure, assessment);
  CHECK(relation.sites == 5);
  REQUIRE(relation.ranks.has_value());
  CHECK(near(relation.ranks->rho, -1, 1e-12));
  CHECK(near(relation.ranks->p, 2.0 / 120, 1e-12));
  CHECK(relation.ranks->exact);
  CHECK_FALSE(relate_exposure(std::span(exposure).first(2), assessment).ranks.has_value());
}

TEST_CASE("a decay length of nothing and days for other sites are refused") {
  const AsciiRiver river(kRiver);
  const Snapshot s = survey(river);
  const ChannelNetwork network = build_channels(s.reaches);
  const std::vector<Date> days(s.sites.size(), kDay);
  ExposureOptions options;
  options.decay_m = 0;
  CHECK_THROWS(exposure_of_sites(s, network, days, options));
  CHECK_THROWS(exposure_of_sites(s, network, std::span(days).first(2), {}));
  const ChannelNetwork none = build_channels({});
  CHECK_FALSE(exposure_of_sites(s, none, days, {})[0].exposure.has_value());
}
