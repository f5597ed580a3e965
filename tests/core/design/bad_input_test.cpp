// What cannot be answered is a sentence, whatever the purpose.
#include <doctest/doctest.h>

#include <functional>

#include "core/analysis/reach_assessment.hpp"
#include "core/base/error.hpp"
#include "core/design/bracket.hpp"
#include "core/design/gap.hpp"
#include "core/design/narrow.hpp"
#include "core/design/spread.hpp"
#include "core/design/variety.hpp"
#include "tests/core/design/design_survey.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::Error;

namespace {

// 2,000 m: a good site at its head, a poor one at its foot, and between them 1,000 m for which neither speaks.
std::string long_brook() {
  std::string drawing = "    A\n";
  for (int i = 0; i < 19; ++i) drawing += "    |\n";
  return drawing + "    B\n";
}

struct Asked : DesignSurvey {
  Asked() : DesignSurvey(long_brook()) {
    drawn.builder.outfall("OUT", OutfallKind::kTreatedSewage, drawn.river.beside('A', 0, -900));
    drawn.sample('A', "2024-05-03", kGood);
    drawn.sample('B', "2024-05-03", kPoor);
    refresh();
  }

  Suggestions ask(Purpose purpose, const DesignOptions& options) const {
    switch (purpose) {
      case Purpose::kSpread:
        return suggest_spread(source(), options);
      case Purpose::kGap: {
        static const Method& method = *find_method("bmwp-a");
        const ScoreTable scores = score_samples(snapshot, method);
        Assessment assessment = assess(snapshot, scores, 0, nesting, source().day);
        add_confidence(assessment, snapshot);
        return suggest_gap(source(), options, assessment,
                           assess_reaches(snapshot, assessment, drawn.network));
      }
      case Purpose::kBracket:
        return suggest_bracket(source(), options, {.clear = {.mixing_m = 100}});
      case Purpose::kNarrow: {
        const std::vector<Drop> falls = drawn.drops("2024-12-31");
        return suggest_narrow(source(), options, worst_fall(falls));
      }
      case Purpose::kVariety:
        break;
    }
    return suggest_variety(source(), options);
  }

  std::string refusal(Purpose purpose, const DesignOptions& options) const {
    try {
      ask(purpose, options);
    } catch (const Error& error) {
      return error.what();
    }
    return "nothing was refused";
  }
};

constexpr Purpose kAll[] = {Purpose::kSpread, Purpose::kGap, Purpose::kBracket, Purpose::kNarrow,
                            Purpose::kVariety};

}  // namespace

TEST_CASE("every purpose answers where it can") {
  const Asked d;
  for (const Purpose purpose : kAll) {
    const Suggestions s = d.ask(purpose, {.count = 2});
    // Its control and its spot below are there: the two sites.
    if (purpose == Purpose::kBracket) {
      CHECK(says(s.notes, "site A stands where a control above OUT should"));
      CHECK(says(s.notes, "site B stands where a spot below OUT should"));
      continue;
    }
    CHECK_MESSAGE(s.list.size() == 2, std::string(purpose_name(purpose)) << ": " << s.list.size());
    for (const Suggestion& one : s.list) {
      CHECK_FALSE(one.reason.empty());
      CHECK(one.upstream_m.has_value());
      CHECK(one.site_above.has_value());
      CHECK(one.reason.find("nan") == std::string::npos);
    }
  }
}

TEST_CASE("an area with no water is told by every purpose, with what to do") {
  const Asked d;
  DesignOptions options;
  options.area.centre = d.drawn.river.beside('A', 9000, 0);
  options.area.radius_m = 100;
  options.area.words = "the circle";
  for (const Purpose purpose : kAll)
    CHECK_MESSAGE(d.refusal(purpose, options) == "no channel lies in the circle; choose another area",
                  std::string(purpose_name(purpose)));
}

TEST_CASE("where everything is excluded every purpose says by what") {
  Asked d;
  d.ground(GroundKind::kUnsafe, d.square('A', 4000));
  for (const Purpose purpose : kAll) {
    const std::string refusal = d.refusal(purpose, {});
    CHECK_MESSAGE(refusal.starts_with("every one of the "), std::string(purpose_name(purpose))
                                                                << ": " << refusal);
    CHECK(refusal.find(" is left out: ") != std::string::npos);
    CHECK(refusal.find(" where it is unsafe; ask for permission") != std::string::npos);
  }
}

TEST_CASE("more points than fit: each purpose gives those that do and says so") {
  const Asked d;
  for (const Purpose purpose : {Purpose::kSpread, Purpose::kGap, Purpose::kNarrow, Purpose::kVariety}) {
    const Suggestions s = d.ask(purpose, {.count = 500});
    CHECK(s.list.size() < 500);
    CHECK_MESSAGE(says(s.notes, "of the 500 spots asked for"), std::string(purpose_name(purpose)));
  }
}

TEST_CASE("no spot at all is asked for by mistake") {
  const Asked d;
  for (const Purpose purpose : kAll)
    CHECK_MESSAGE(d.refusal(purpose, {.count = 0}) == "ask for one spot at least",
                  std::string(purpose_name(purpose)));
}

TEST_CASE("a survey without any channel is told by every purpose that looks at places") {
  const DesignSurvey none("");
  const auto refusal = [](const std::function<void()>& work) {
    try {
      work();
    } catch (const Error& error) {
      return std::string(error.what());
    }
    return std::string("nothing was refused");
  };
  CHECK(refusal([&] {
          suggest_spread(none.source(), {});
        }).starts_with("no channel lies in the survey; bring"));
  CHECK(refusal([&] {
          suggest_variety(none.source(), {});
        }).starts_with("no channel lies in the survey; bring"));
  CHECK(refusal([&] {
          suggest_bracket(none.source(), {}, {.clear = {.mixing_m = 100}});
        }).starts_with("the survey has no outfalls to bracket; bring"));
}
