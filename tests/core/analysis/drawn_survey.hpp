// Why: where quality falls is best told by a drawn river with a site at each letter.
// Use: DrawnSurvey s(drawing);  s.sample('A', "2024-04-10", kGood);  s.drops("2024-12-31")
// Letters must be given their samples in the order of the alphabet, oldest first.
#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

#include "core/analysis/drops.hpp"
#include "core/network/channels.hpp"
#include "tests/core/network/ascii_river.hpp"
#include "tests/core/scoring/survey_builder.hpp"

namespace brookmark::test {

// Trays with their sum of scores, added up by hand from the list of Hawkes 1997 (Wat. Res. 32:964, Table 1; as
// core/reference/methods has it): Heptageniidae 10, Leuctridae 10, Perlidae 10, Ephemeridae 10, Rhyacophilidae 7,
// Gammaridae 6, Baetidae 4, Chironomidae 2, Oligochaeta 1.
inline const std::vector<Found> kGood{
    present("Heptageniidae"), present("Leuctridae"),     present("Perlidae"),
    present("Ephemeridae"),   present("Rhyacophilidae"), present("Gammaridae"),
    present("Baetidae"),      present("Chironomidae"),   present("Oligochaeta")};
inline constexpr double kGoodScore = 60;  // 40 + 7 + 6 + 4 + 2 + 1
inline const std::vector<Found> kFair{present("Rhyacophilidae"), present("Gammaridae"), present("Baetidae"),
                                      present("Chironomidae"), present("Oligochaeta")};
inline constexpr double kFairScore = 20;  // 7 + 6 + 4 + 2 + 1
inline const std::vector<Found> kPoor{present("Chironomidae"), present("Oligochaeta")};
inline constexpr double kPoorScore = 3;

struct DrawnSurvey {
  explicit DrawnSurvey(const std::string& drawing) : river(drawing) {
    builder.reaches(river.reaches());
    network = core::build_channels(river.reaches());
  }

  SiteIndex site(char letter, WaterKind kind = WaterKind::kStream) {
    return site(std::string(1, letter), river.at(letter), kind);
  }
  SiteIndex site(const std::string& code, core::LonLat position, WaterKind kind = WaterKind::kStream) {
    const auto known = sites.find(code);
    if (known != sites.end()) return known->second;
    return sites[code] = builder.site(code, kind, position);
  }
  SampleIndex sample(char letter, const std::string& date, const std::vector<Found>& found,
                     SampleKind kind = SampleKind::kRoutine) {
    return builder.sample(site(letter), date, found, kind);
  }

  std::vector<core::Drop> drops(const std::string& until, const std::string& method_id = "bmwp-a",
                                const core::DropOptions& options = {}) const {
    const core::Method& method = *core::find_method(method_id);
    return core::find_drops(builder.snapshot(), core::score_samples(builder.snapshot(), method), 0, network,
                            core::parse_date(until).value(), options);
  }

  // "A>b -40" for each neighbour pair, in the order given; "A>b ?" without a fall.
  std::string said(const std::vector<core::Drop>& drops) const {
    std::string words;
    for (const core::Drop& d : drops) {
      words += (words.empty() ? "" : ", ") + code(d.up) + ">" + code(d.down) + " ";
      const core::SamplePair* pair = d.newest();
      words += pair != nullptr && pair->fall ? std::to_string(static_cast<int>(*pair->fall)) : "?";
    }
    return words;
  }
  std::string code(SiteIndex site) const { return std::string(builder.snapshot().sites.code[site.value()]); }

  AsciiRiver river;
  SurveyBuilder builder;
  core::ChannelNetwork network;
  std::map<std::string, SiteIndex> sites;
};

}  // namespace brookmark::test
