#include <ostream>

#include "core/network/reach_figures.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

int run_reaches(const std::filesystem::path& survey, const Console& console) {
  const Session session = open_for(survey, console);
  const std::vector<core::Reach>& reaches = session.snapshot.reaches;
  const auto figures = core::reach_figures(reaches, session.channels);
  Rows rows{{"reach", "name", "length_m", "two_way", "stream_order", "upstream_m", "to_mouth_m", "note"}, {}};
  for (std::size_t i = 0; i < reaches.size(); ++i) {
    const core::ReachFigures& f = figures[i];
    rows.add({whole(i + 1), text_or_empty(reaches[i].name), number(core::length_m(reaches[i].line), 1),
              reaches[i].two_way, f.stream_order ? whole(static_cast<std::size_t>(*f.stream_order)) : Cell{},
              f.upstream_m ? number(*f.upstream_m, 1) : Cell{},
              f.to_mouth_m ? number(*f.to_mouth_m, 1) : Cell{}, text_or_empty(f.note)});
  }
  console.rows(rows);
  if (!reaches.empty()) return kDone;
  console.err
      << "the survey has no reaches; bring them in with `brookmark import SURVEY watercourses FILE`\n";
  return kAnswerIsNo;
}

}  // namespace

void add_reach_verbs(Verbs& verbs) {
  verbs
      .add_for_survey("reaches", "stream order, length upstream and way to the mouth of every reach",
                      [](const auto& survey, const Console& c) { return run_reaches(survey, c); })
      .footer([] {
        return std::string(
            "Each at the lower end of the reach as drawn. stream_order: 1 at the headwaters, one more where "
            "two streams "
            "of the\nhighest order come together (Strahler 1957, Trans. Am. Geophys. Union 38:913-920; "
            "memory); arms of "
            "one braid\ndo not raise it. upstream_m: metres of channel that drain to it, itself included. "
            "to_mouth_m: "
            "metres along the\nflow to the nearest mouth. Empty where there is none; the note says why.\n");
      })
      .with_format();
}

}  // namespace brookmark::viewer
