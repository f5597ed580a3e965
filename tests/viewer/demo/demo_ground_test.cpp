// What the demo survey holds: places, channels, catchments, samples, names; and that it is the same every
// time.
#include <doctest/doctest.h>

#include <algorithm>
#include <iterator>
#include <map>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "core/base/error.hpp"
#include "core/design/spots.hpp"
#include "geodata/photo/photo.hpp"
#include "geodata/vector_input.hpp"
#include "tests/support/files.hpp"
#include "tests/support/near.hpp"
#include "tests/viewer/demo/demo_fixture.hpp"

namespace brookmark {
namespace {

using core::Snapshot;
using test::catchment;
using test::made;
using test::make_and_read;
using test::site;
using test::to_outfall;

// Every word and number of a survey that a reader could see.
std::string dump(const Snapshot& s) {
  std::string text = s.survey.key + '|' + s.survey.title + '|' + s.survey.description + '\n';
  const auto add = [&text](const auto&... cells) {
    ((text += std::string(cells) + '|'), ...);
    text += '\n';
  };
  const auto place = [](core::LonLat p) { return std::to_string(p.lon) + ' ' + std::to_string(p.lat); };
  for (std::size_t i = 0; i < s.sites.size(); ++i)
    add(s.sites.key[i], s.sites.code[i], s.sites.name[i], s.sites.note[i], place(s.sites.position[i]));
  for (std::size_t i = 0; i < s.samples.size(); ++i)
    add(s.samples.key[i], s.samples.code[i], core::format_date(s.samples.date[i]));
  for (std::size_t i = 0; i < s.records.size(); ++i)
    add(s.records.key[i], s.records.verbatim_name[i], s.records.verbatim_quantity[i],
        s.taxa.name[s.records.taxon[i].value()]);
  for (std::size_t i = 0; i < s.measurements.size(); ++i)
    add(s.measurements.key[i], s.measurements.quantity[i], s.measurements.verbatim_value[i]);
  for (const core::Reach& reach : s.reaches) {
    add(reach.key, reach.name);
    for (const core::LonLat point : reach.line) add(place(point));
  }
  for (const core::Outfall& one : s.outfalls) add(one.key, one.code, place(one.position));
  for (const core::Catchment& one : s.catchments) {
    add(one.key, one.code);
    for (const core::LonLat point : one.shape.at(0).rings.at(0)) add(place(point));
  }
  for (const core::Ground& one : s.grounds) {
    add(one.key, one.name, one.note, core::ground_kind_name(one.kind));
    if (const auto* point = std::get_if<core::LonLat>(&one.shape)) add(place(*point));
    if (const auto* line = std::get_if<core::Line>(&one.shape))
      for (const core::LonLat point : *line) add(place(point));
    if (const auto* area = std::get_if<core::MultiPolygon>(&one.shape))
      for (const core::LonLat point : area->at(0).rings.at(0)) add(place(point));
  }
  return text;
}

}  // namespace

TEST_CASE("two demo surveys hold the same data") {
  const std::string first = dump(made().survey), second = dump(make_and_read());
  CHECK(first.size() > 100000);
  CHECK(first == second);
}

TEST_CASE("the demo is not written over anything") {
  const test::TemporaryFolder folder;
  test::write_text(folder / "mine.brook", "precious");
  CHECK_THROWS_AS(demo::make_demo_survey(folder / "mine.brook"), Error);
  CHECK(test::read_text(folder / "mine.brook") == "precious");
  CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 1);
}

TEST_CASE("the demo leaves only the finished survey and its drawn picture behind") {
  const test::TemporaryFolder folder;
  demo::make_demo_survey(folder / "demo.brook");
  CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 2);
  const std::filesystem::path photo = folder / "demo-photos/q04-pipe.png";
  const std::string drawn = test::read_text(photo);
  geodata::start_geodata();
  REQUIRE(made().survey.photos.size() == 1);
  const geodata::Photo shown = geodata::read_photo(folder / "demo.brook", made().survey.photos[0].file);
  CHECK(shown.width > 200);
  CHECK(made().survey.photos[0].site_key == made().survey.sites.key[made().survey.find_site("Q04")->value()]);
  // The same bytes elsewhere, and a picture that is there already is not written over.
  const test::TemporaryFolder other;
  demo::make_demo_survey(other / "another-name.brook");
  CHECK(test::read_text(other / "demo-photos/q04-pipe.png") == drawn);
  test::write_text(photo, "somebody's own");
  demo::make_demo_survey(folder / "second.brook");
  CHECK(test::read_text(photo) == "somebody's own");
}

TEST_CASE("a folder that is not there gives an error, not a survey") {
  const test::TemporaryFolder folder;
  CHECK_THROWS_AS(demo::make_demo_survey(folder.path() / "missing" / "demo.brook"), Error);
  CHECK(std::filesystem::is_empty(folder.path()));
}

TEST_CASE("the demo says that it is invented, and lies in the open ocean") {
  const Snapshot& s = made().survey;
  CHECK(s.survey.title.find("invented") != std::string::npos);
  CHECK(s.survey.description.find("invented") != std::string::npos);
  for (std::size_t i = 0; i < s.sites.size(); ++i) {
    CHECK(std::string(s.sites.note[i]).find("Invented") != std::string::npos);
    // Within 10 km of 30 W, 45 N: some 600 km from the nearest island.
    CHECK(core::geodesic_m(s.sites.position[i], {-30, 45}) < 10000);
  }
  for (const core::Outfall& one : s.outfalls) CHECK(one.note.find("Invented") != std::string::npos);
}

TEST_CASE("the demo has 26 sites, one proposed and one retired, on all kinds of water") {
  const Snapshot& s = made().survey;
  REQUIRE(s.sites.size() == 26);
  const auto kinds = [&](core::WaterKind kind) {
    return std::count(s.sites.kind.begin(), s.sites.kind.end(), kind);
  };
  CHECK(kinds(core::WaterKind::kPond) == 3);
  CHECK(kinds(core::WaterKind::kDitch) == 1);
  CHECK(kinds(core::WaterKind::kSpring) == 1);
  CHECK(kinds(core::WaterKind::kStream) == 21);
  CHECK(s.sites.status[site("S02")] == core::SiteStatus::kProposed);
  CHECK(s.sites.status[site("M01")] == core::SiteStatus::kRetired);
  CHECK(s.waters.size() == 3);
  for (std::size_t i = 0; i < s.sites.size(); ++i) CHECK(s.sites.accuracy_m[i].has_value());
}

TEST_CASE("the demo has five outfalls of five kinds") {
  std::set<core::OutfallKind> kinds;
  for (const core::Outfall& one : made().survey.outfalls) kinds.insert(one.kind);
  CHECK(made().survey.outfalls.size() == 5);
  CHECK(kinds.size() == 5);
  CHECK(kinds.count(core::OutfallKind::kUnknown) == 0);
}

TEST_CASE("the demo has a private area, an unsafe stretch, a road with a bridge, and places of access") {
  const Snapshot& s = made().survey;
  std::map<core::GroundKind, int> kinds;
  for (const core::Ground& one : s.grounds) {
    ++kinds[one.kind];
    CHECK(one.note.find("Invented") != std::string::npos);
    CHECK_FALSE(one.name.empty());
  }
  CHECK(kinds == std::map<core::GroundKind, int>{{core::GroundKind::kPrivate, 1},
                                                 {core::GroundKind::kUnsafe, 1},
                                                 {core::GroundKind::kRoad, 1},
                                                 {core::GroundKind::kBridge, 1},
                                                 {core::GroundKind::kAccess, 4}});
  // Each keeps some spot away, and no site that is visited stands where nobody is sent.
  const core::LocalFrame frame({-30, 45});
  const core::KeepOut keep_out(s, {}, frame);
  const core::SpotFrame spots = core::find_spots(s, made().channels, {}, {}, keep_out, frame);
  for (const core::Barrier barrier :
       {core::Barrier::kPrivate, core::Barrier::kUnsafe, core::Barrier::kRoad, core::Barrier::kBridge})
    CHECK(spots.left_out.count[static_cast<std::size_t>(barrier)] > 0);
  for (std::size_t i = 0; i < s.sites.size(); ++i)
    CHECK(keep_out.at(s.sites.position[i], frame.to_plane(s.sites.position[i])) == core::Barrier::kNone);
}

TEST_CASE("the demo spans six years, spring and autumn in each") {
  const Snapshot& s = made().survey;
  const auto span = s.date_span();
  REQUIRE(span.has_value());
  CHECK(core::year_month_day(span->first).year == 2020);
  CHECK(core::year_month_day(span->second).year == 2025);
  std::map<std::size_t, std::set<std::pair<int, core::Season>>> seen;
  for (std::size_t i = 0; i < s.samples.size(); ++i)
    seen[s.samples.site[i].value()].insert(
        {core::year_month_day(s.samples.date[i]).year, core::season_of(s.samples.date[i], false)});
  for (std::size_t i = 0; i < s.sites.size(); ++i) {
    if (s.sites.status[i] != core::SiteStatus::kActive) continue;
    for (int year = 2020; year <= 2025; ++year) {
      CHECK(seen[i].count({year, core::Season::kSpring}) == 1);
      CHECK(seen[i].count({year, core::Season::kAutumn}) == 1);
    }
  }
  CHECK(seen[site("Q04")].size() == 24);
  CHECK(seen.count(site("S02")) == 0);
}

TEST_CASE("the demo has blanks, replicates and a few thin samples") {
  const Snapshot& s = made().survey;
  std::map<core::SampleKind, int> kinds;
  std::size_t streams = 0, thin = 0;
  for (std::size_t i = 0; i < s.samples.size(); ++i) {
    ++kinds[s.samples.kind[i]];
    if (s.samples.kind[i] == core::SampleKind::kBlank) {
      CHECK(s.samples.record_begin[i] == s.samples.record_begin[i + 1]);
      continue;
    }
    if (s.sites.kind[s.samples.site[i].value()] != core::WaterKind::kStream) continue;
    std::int64_t animals = 0;
    for (std::size_t r = s.samples.record_begin[i]; r < s.samples.record_begin[i + 1]; ++r)
      animals += s.records.count_min[r];
    ++streams;
    thin += animals < 100 ? 1 : 0;
  }
  CHECK(kinds[core::SampleKind::kBlank] == 3);
  CHECK(kinds[core::SampleKind::kReplicate] == 5);
  CHECK(streams > 250);
  CHECK(thin == 4);
}

TEST_CASE("names in the demo are accepted, old, common, finer, decided by the surveyor, and unknown") {
  const Snapshot& s = made().survey;
  std::map<core::NameMatch, int> ways;
  for (std::size_t r = 0; r < s.records.size(); ++r) ++ways[s.records.match[r]];
  CHECK(ways[core::NameMatch::kAccepted] > 1000);
  CHECK(ways[core::NameMatch::kSynonym] >= 10);
  CHECK(ways[core::NameMatch::kCommonName] >= 100);
  CHECK(ways[core::NameMatch::kGenusOfBinomial] >= 50);
  CHECK(ways[core::NameMatch::kChosen] == 1);
  // One misspelling left open, "a worm", and three that nobody knows.
  CHECK(ways[core::NameMatch::kNone] == 5);
}

TEST_CASE("two ponds lie on no channel, and say so") {
  const auto& s = made().survey;
  CHECK_FALSE(made().channels.snap(s.sites.position[site("N01")]).has_value());
  CHECK_FALSE(made().channels.snap(s.sites.position[site("N02")]).has_value());
  const core::ChannelDistance way = to_outfall("N01", "OUT-2");
  CHECK(way.relation == core::Relation::kOffChannel);
  CHECK_FALSE(way.distance_m.has_value());
  CHECK_FALSE(way.note.empty());
}

TEST_CASE("stream sites stand 2 to 15 m off the channel") {
  const auto& s = made().survey;
  for (std::size_t i = 0; i < s.sites.size(); ++i) {
    if (s.sites.kind[i] != core::WaterKind::kStream) continue;
    const auto at = made().channels.snap(s.sites.position[i]);
    REQUIRE(at.has_value());
    CHECK(at->snap_m >= 1.9);
    CHECK(at->snap_m <= 15.1);
  }
}

TEST_CASE("all channels of the demo drain to the one outlet, round the island as well") {
  const auto& graph = made().channels.graph();
  std::size_t outlets = 0;
  std::uint32_t outlet = 0, forks = 0;
  for (std::uint32_t node = 0; node < graph.node_count(); ++node) {
    if (graph.edges_out(node).empty()) {
      ++outlets;
      outlet = node;
    }
    forks += graph.edges_out(node).size() > 1 ? 1 : 0;
  }
  CHECK(outlets == 1);
  CHECK(forks == 1);
  CHECK_FALSE(graph.is_tree());
  const auto reached = graph.from_node(outlet, core::Direction::kUpstream);
  CHECK(std::count(reached.distance_m.begin(), reached.distance_m.end(), core::kNoPath) == 0);
  double stem = 0;
  for (const core::Reach& reach : made().survey.reaches)
    if (reach.name == "Quarrendel Brook") stem += core::length_m(reach.line);
  CHECK(stem > 8000);
  CHECK(stem < 12000);
}

TEST_CASE("the catchments nest: six in the whole, two in Tarrow Beck's") {
  const auto& nesting = made().nesting;
  CHECK(made().survey.catchments.size() == 9);
  const std::size_t whole = catchment("C0"), tarrow = catchment("C3");
  CHECK_FALSE(nesting.parent[whole].has_value());
  double parts = 0;
  for (const char* code : {"C1", "C2", "C3", "C4", "C5", "C6"}) {
    CHECK(nesting.parent[catchment(code)].value() == whole);
    parts += nesting.area_m2[catchment(code)];
  }
  for (const char* code : {"C3a", "C3b"}) CHECK(nesting.parent[catchment(code)].value() == tarrow);
  // Shared borders vertex for vertex: nothing is left out and nothing is counted twice, to one square metre.
  CHECK(test::near(parts, nesting.area_m2[whole], 1.0));
  CHECK(test::near(nesting.area_m2[catchment("C3a")] + nesting.area_m2[catchment("C3b")],
                   nesting.area_m2[tarrow], 1.0));
  const auto& smallest = nesting.site_smallest;
  CHECK(smallest[site("Q03")].value() == catchment("C4"));
  CHECK(smallest[site("Q07")].value() == catchment("C4"));
  CHECK(smallest[site("T01")].value() == catchment("C3a"));
  CHECK(smallest[site("T02")].value() == catchment("C3b"));
  CHECK(smallest[site("Q08")].value() == catchment("C6"));
  for (const core::CatchmentIndex one : smallest) CHECK(one.has_value());
}

}  // namespace brookmark
