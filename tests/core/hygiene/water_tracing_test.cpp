// Kit that was used where water from a risk arrives, followed from there. By hand, and against every pair of uses.
#include <doctest/doctest.h>

#include <algorithm>
#include <limits>
#include <map>
#include <set>
#include <string>

#include "core/base/random.hpp"
#include "core/hygiene/tracing.hpp"
#include "core/hygiene/visit_plan.hpp"
#include "tests/core/hygiene/hygiene_survey.hpp"

using namespace brookmark;
using namespace brookmark::test;

namespace {

//   U1 (Head)---A (Mill Pond)---B1---B2 (Brook)---C (Weir Pool)        a channel, 1000 m apart
//   M (Moat), D (Dene): on no channel
HygieneSurvey valley() {
  HygieneSurvey s;
  s.channel({at_m(0, 0), at_m(6000, 0)});
  s.site("U1", "Head", at_m(500, 2), core::WaterKind::kStream);
  s.site("A", "Mill Pond", at_m(1500, 2), core::WaterKind::kStream);
  s.site("B1", "Brook", at_m(2500, 2), core::WaterKind::kStream);
  s.site("B2", "Brook", at_m(3500, 2), core::WaterKind::kStream);
  s.site("C", "Weir Pool", at_m(4500, 2), core::WaterKind::kStream);
  s.site("M", "Moat", at_m(2500, 3000));
  s.site("D", "Dene", at_m(4500, 3000));
  for (const char* net : {"N1", "N2", "N3"}) s.kit(net, core::KitKind::kNet, net);
  return s;
}

core::Contacts contacts(const HygieneSurvey& s, const std::string& water, const char* since = "2025-05-01") {
  const HygieneBook book(s.snapshot);
  core::TraceQuery query{*book.waters.find(water), moment(since).date, core::find_target("ranavirus")};
  return core::trace(s.snapshot, book.waters, book.history, query);
}

std::string entered(const HygieneSurvey& s, const core::Contacts& found) {
  const HygieneBook book(s.snapshot);
  std::string words;
  for (const core::TracedWater& water : found.entered)
    words += (words.empty() ? "" : ", ") + book.waters.name(water.body) +
             (water.direct     ? " direct"
              : water.by_water ? " by water"
                               : " through others");
  return words;
}

}  // namespace

// Mill Pond is suspected from 1 May on. Its water runs past the Brook and the Weir Pool.
//   N1: Brook 30 April, Moat 1 May        -> the Brook was left before anything came
//   N2: Brook 3 May, Moat 4 May           -> Moat, though N2 was never in Mill Pond
//   N3: Moat 5 May, Dene 6 May            -> Dene, through Moat
//   N2: cleaned 5 May, then Head 7 May    -> Head is not reached
TEST_CASE("kit that was used below a risk is followed into the next water, and on from there") {
  HygieneSurvey s = valley();
  s.use("N1", "B1", "2025-04-29T09:00");
  s.use("N1", "M", "2025-04-30T09:00");
  s.use("N2", "B2", "2025-05-03T09:00");
  s.use("N2", "M", "2025-05-04T09:00");
  s.clean_well("N2", "2025-05-05T18:00");
  s.use("N2", "U1", "2025-05-07T09:00");
  s.use("N3", "M", "2025-05-05T09:00");
  s.use("N3", "D", "2025-05-06T09:00");
  const core::Contacts found = contacts(s, "Mill Pond");
  CHECK(entered(s, found) == "Moat by water, Dene by water");
  CHECK(found.entered[0].words ==
        "2000 m below Mill Pond, N2: Brook on 3 May 2025 at 09:00, then Moat on 4 May 2025 at 09:00");
  CHECK(found.entered[1].words ==
        "2000 m below Mill Pond, N2: Brook on 3 May 2025 at 09:00, then Moat on 4 May 2025 at 09:00; N3: "
        "Moat on 5 May 2025 at 09:00, then Dene on 6 May 2025 at 09:00");
  // What only lies below stays told as such.
  REQUIRE(found.below.size() == 2);
  CHECK(found.below[0].words == "1000 m below Mill Pond along the channel: the water itself may bring it");
  // Into the Weir Pool kit from the Brook brings nothing that the water does not bring; kit from Mill Pond itself is told.
  HygieneSurvey t = valley();
  t.use("N1", "B1", "2025-05-03T09:00");
  t.use("N1", "C", "2025-05-04T09:00");
  CHECK(entered(t, contacts(t, "Mill Pond")) == "");
  // Nor does it bring anything back to where it had it from.
  t.use("N2", "B1", "2025-05-03T09:00");
  t.use("N2", "D", "2025-05-04T09:00");
  t.use("N2", "B2", "2025-05-05T09:00");
  CHECK(entered(t, contacts(t, "Mill Pond")) == "Dene by water");
  t.use("N3", "A", "2025-05-03T09:00");
  t.use("N3", "C", "2025-05-06T09:00");
  CHECK(entered(t, contacts(t, "Mill Pond")) == "Dene by water, Weir Pool direct");
  // From above the risk nothing is followed.
  HygieneSurvey u = valley();
  u.use("N1", "U1", "2025-05-03T09:00");
  u.use("N1", "M", "2025-05-04T09:00");
  CHECK(entered(u, contacts(u, "Mill Pond")) == "");
}

TEST_CASE("kit that was used below a water which was entered is followed from the day of that entry") {
  HygieneSurvey s = valley();
  s.use("N1", "M", "2025-05-03T09:00");
  s.use("N1", "A", "2025-05-04T09:00");  // from the Moat into Mill Pond
  s.use("N2", "B1", "2025-05-03T12:00");
  s.use("N2", "U1", "2025-05-03T15:00");  // before that
  s.use("N3", "B1", "2025-05-05T09:00");
  s.use("N3", "D", "2025-05-06T09:00");
  const core::Contacts found = contacts(s, "Moat");
  CHECK(entered(s, found) == "Mill Pond direct, Dene by water");
  CHECK(found.entered[1].words ==
        "N1: Moat on 3 May 2025 at 09:00, then Mill Pond on 4 May 2025 at 09:00; 1000 m below Mill Pond, N3: "
        "Brook on 5 May 2025 at 09:00, then Dene on 6 May 2025 at 09:00");
  CHECK(found.entered[1].chain.size() == 2);
}

TEST_CASE("a site above the mouth is reached by kit alone, and from then on its whole water counts") {
  HygieneSurvey s = valley();
  s.channel({at_m(3000, 1000), at_m(3000, 0)});
  s.site("T", "Brook", at_m(3003, 500), core::WaterKind::kStream);  // on an arm of the Brook
  s.use("N1", "T", "2025-05-02T09:00");
  s.use("N1", "D", "2025-05-03T09:00");
  CHECK(entered(s, contacts(s, "Mill Pond")) == "");
  s.use("N2", "B1", "2025-05-01T09:00");
  s.use("N2", "T", "2025-05-02T08:00");
  const core::Contacts found = contacts(s, "Mill Pond");
  CHECK(entered(s, found) == "Brook by water, Dene by water");
  CHECK(found.entered[0].words ==
        "1000 m below Mill Pond, N2: B1 of Brook on 1 May 2025 at 09:00, then T of Brook on 2 May 2025 at "
        "08:00");
}

TEST_CASE(
    "a water that kit from below a risk entered is told in a plan, and comes after those of which nothing is "
    "known") {
  HygieneSurvey s = valley();
  s.risk("A", "Crassula helmsii", "2025-05-01");
  s.use("N1", "B1", "2025-05-03T09:00");
  s.clean_well("N1", "2025-05-03T12:00");  // no rule says that this is enough against Crassula
  s.use("N1", "M", "2025-05-04T09:00");
  const HygieneBook book(s.snapshot);
  core::PlanRequest request;
  request.sites = {s.at("A"), s.at("M"), s.at("D")};
  request.day = moment("2025-05-08").date;
  request.clean_sets = 3;
  request.start = at_m(2500, 3000);  // at the Moat
  request.utc_offset_min = 0;
  const core::VisitPlan plan = core::plan_visits(s.snapshot, book.waters, book.history, request);
  REQUIRE(plan.stops.size() == 3);
  CHECK(plan.stops[0].site == s.at("D"));
  CHECK(plan.stops[1].site == s.at("M"));
  CHECK(core::risk_words(plan.stops[1]) == "contact with a risk");
  CHECK(says(plan.stops[1].note,
             "may hold Crassula helmsii of Mill Pond too, by kit that was not cleaned of it: 1000 m below "
             "Mill Pond, N1: Brook on 3 May 2025"));
  CHECK(plan.stops[2].site == s.at("A"));
}

namespace {

struct Stay {
  std::string kit;
  std::size_t site, water;
  core::TimeSpan when;
};

// Sites on straight channels: a place, and waters that several channels may share.
struct Drawn {
  HygieneSurvey s;
  std::vector<std::size_t> channel, water;
  std::vector<double> east_m;
  bool runs(std::size_t upper, std::size_t lower) const {
    return channel[upper] == channel[lower] && east_m[upper] < east_m[lower];
  }
};

// Which kit came into which water at which site.
using Entries = std::map<std::size_t, std::pair<std::set<std::string>, std::set<std::size_t>>>;

// Earliest entry by water, to a fixed point over all pairs of stays.
std::map<std::size_t, std::int64_t> by_every_pair(const Drawn& d, const std::vector<Stay>& stays,
                                                  std::int64_t since, core::TargetIndex target,
                                                  Entries& entries) {
  constexpr std::int64_t kNever = std::numeric_limits<std::int64_t>::max();
  std::map<std::size_t, std::int64_t> entered{{0, since}};
  const auto entered_min = [&](std::size_t water) {
    const auto known = entered.find(water);
    return known == entered.end() ? kNever : known->second;
  };
  const auto below_min = [&](std::size_t site) {
    std::int64_t from = kNever;
    for (std::size_t upper = 0; upper < d.water.size(); ++upper)
      if (d.water[site] != 0 && d.water[upper] != d.water[site] && d.runs(upper, site))
        from = std::min(from, entered_min(d.water[upper]));
    return from;
  };
  const auto below_origin = [&](std::size_t site) {
    for (std::size_t upper = 0; upper < d.water.size(); ++upper)
      if (d.water[upper] == 0 && d.runs(upper, site)) return true;
    return false;
  };
  for (bool changed = true; changed;) {
    changed = false;
    for (const Stay& out : stays)
      for (const Stay& in : stays) {
        if (in.kit != out.kit || in.site == out.site || in.water == 0 || in.when.to_min < out.when.from_min)
          continue;
        if (below_origin(in.site) && out.water != 0) continue;
        std::int64_t source = below_min(out.site);
        if (in.water != out.water)
          source = std::min(source, entered_min(out.water));
        else if (d.runs(out.site, in.site))
          continue;
        if (out.when.to_min < source) continue;
        bool cleaned = false;
        for (const core::Cleaning& c : d.s.snapshot.cleanings) {
          const core::TimeSpan at = core::span_of(c.finished);
          cleaned =
              cleaned || (c.kit_key == out.kit && core::is_enough(c, target) &&
                          out.when.to_min < core::work_span_of(c).from_min && at.to_min < in.when.from_min);
        }
        if (cleaned) continue;
        entries[in.water].first.insert(in.kit);
        entries[in.water].second.insert(in.site);
        if (entered_min(in.water) <= in.when.from_min) continue;
        entered[in.water] = in.when.from_min;
        changed = true;
      }
  }
  entered.erase(0);
  return entered;
}

}  // namespace

TEST_CASE("tracing along channels agrees with every pair of uses in 400 random histories") {
  core::Random random(20251126, core::stream_of("tracing along channels"));
  const core::TargetIndex target = *core::find_target("ranavirus");
  std::size_t by_water = 0, within = 0;
  for (int round = 0; round < 400; ++round) {
    CAPTURE(round);
    Drawn d;
    const std::size_t channels = 1 + random.below(3), waters = 3 + random.below(4),
                      sites = waters + random.below(9);
    for (std::size_t c = 0; c < channels; ++c)
      d.s.channel({at_m(0, 3000.0 * static_cast<double>(c)), at_m(9000, 3000.0 * static_cast<double>(c))});
    for (std::size_t i = 0; i < sites; ++i) {
      d.water.push_back(i < waters ? i : random.below(waters));
      d.channel.push_back(random.below(channels + 1));  // the last of them is no channel
      d.east_m.push_back(200.0 + 400.0 * static_cast<double>(i));
      // So that early sites do not always lie above.
      if (random.below(2) == 0) d.east_m.back() += 4500 - 800.0 * static_cast<double>(i % 5);
      const bool on = d.channel.back() < channels;
      if (!on) d.channel.back() = 100 + i;
      d.s.site("S" + std::to_string(i), "W" + std::to_string(d.water.back()),
               at_m(d.east_m.back(), on ? 3000.0 * static_cast<double>(d.channel.back()) + 1 : -9000),
               core::WaterKind::kStream);
    }
    const std::size_t items = 1 + random.below(4);
    for (std::size_t k = 0; k < items; ++k) d.s.kit("K" + std::to_string(k));
    const auto when = [&] {
      const std::string date = "2025-05-0" + std::to_string(1 + random.below(9));
      const std::uint64_t hour = 10 + random.below(10);
      return random.below(3) == 0 ? date : date + "T" + std::to_string(hour) + ":00";
    };
    std::vector<Stay> stays;
    for (std::size_t r = 2 + random.below(25); r > 0; --r) {
      const std::string kit = "K" + std::to_string(random.below(items));
      if (random.below(4) == 0) {
        random.below(2) == 0 ? d.s.clean_well(kit, when()) : d.s.clean(kit, when(), "bleach", 1, {}, 10);
        continue;
      }
      const std::size_t site = random.below(sites);
      d.s.use(kit, "S" + std::to_string(site), when());
      stays.push_back({kit, site, d.water[site], core::span_of(d.s.snapshot.kit_uses.back().when)});
    }
    const char* since = random.below(2) == 0 ? "2025-05-03" : "2025-04-01";
    Entries wanted_entries, entries;
    const auto wanted =
        by_every_pair(d, stays, core::span_of(moment(since)).from_min, target, wanted_entries);
    const HygieneBook book(d.s.snapshot);
    const core::TraceQuery query{book.waters.of(core::SiteIndex(0)), moment(since).date, target};
    std::map<std::size_t, std::int64_t> found;
    for (const auto& water : core::trace_contacts(d.s.snapshot, book.waters, book.history, query)) {
      found[d.water[book.waters.sites(water.body).front().value()]] = water.when.from_min;
      auto& [kit, at] = entries[d.water[book.waters.sites(water.body).front().value()]];
      for (const core::KitIndex item : water.kit)
        CHECK(kit.insert(d.s.snapshot.kit[item.value()].code).second);
      for (const core::SiteIndex site : water.sites) CHECK(at.insert(site.value()).second);
      REQUIRE_FALSE(water.chain.empty());
      CHECK(water.kit.at(0) == water.chain.back().kit);
      CHECK(water.sites.at(0) == water.chain.back().in.site);
      CHECK(book.waters.of(water.chain.back().in.site) == water.body);
      // Each step leaves where the one before arrived, or where the water ran from there.
      for (std::size_t i = 0; i < water.chain.size(); ++i) {
        const core::TraceStep& step = water.chain[i];
        const core::BodyIndex before = i == 0 ? query.origin : book.waters.of(water.chain[i - 1].in.site);
        if (!step.carried) {
          CHECK(book.waters.of(step.out.site) == before);
          continue;
        }
        ++by_water;
        within += book.waters.of(step.out.site) == book.waters.of(step.in.site) ? 1 : 0;
        CHECK(step.carried->source == before);
        bool runs = false;
        for (const core::SiteIndex upper : book.waters.sites(before))
          runs = runs || d.runs(upper.value(), step.out.site.value());
        CHECK(runs);
      }
    }
    CHECK(found == wanted);
    CHECK(entries == wanted_entries);
  }
  CHECK(by_water > 100);  // so that the rule is tried at all
  CHECK(within > 10);
}
