#include <ostream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/chemistry/chemistry.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct ChemistryCommand {
  std::string site, until, ammonia_as, below_detection;
  std::optional<double> pressure_hpa;
};

const char* plausible_word(core::Plausible plausible) {
  switch (plausible) {
    case core::Plausible::kYes:
      return "";
    case core::Plausible::kOutOfLine:
      return "out of line";
    case core::Plausible::kImpossible:
      return "impossible";
  }
  return "";
}

Cell amount_cell(const std::optional<double>& value, int decimals) {
  if (!value) return {};
  return decimals < 0 ? exact(*value) : number(*value, decimals);
}

int run_chemistry(const std::filesystem::path& survey, const ChemistryCommand& command,
                  const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  const core::Date until = choose_date(command.until, {INT32_MAX});
  std::optional<core::SiteIndex> only;
  if (!command.site.empty()) {
    only = snapshot.find_site(command.site);
    if (!only)
      throw Error(ErrorCode::kNotFound, "there is no site \"" + command.site + "\" in this survey",
                  survey.string());
  }
  core::ChemistryOptions options;
  options.pressure_hpa = command.pressure_hpa;
  if (!command.ammonia_as.empty())
    options.ammonia_as = command.ammonia_as == "N" ? core::CountedAs::kN : core::CountedAs::kNh4;
  if (!command.below_detection.empty())
    options.below_detection = *core::parse_below_detection(command.below_detection);
  Rows rows{{"site", "date", "sample", "quantity", "value", "unit", "basis", "below", "below_detection",
             "flag", "source", "confirmed", "note"},
            {}};
  for (const core::ChemistryRow& row : core::chemistry_of(snapshot, options)) {
    const std::size_t visit = row.visit.value();
    if ((only && snapshot.visits.site[visit] != *only) || snapshot.visits.start[visit].date > until) continue;
    rows.add({text(snapshot.sites.code[snapshot.visits.site[visit].value()]),
              text(core::format_moment(snapshot.visits.start[visit])),
              row.sample.has_value() ? text(snapshot.samples.code[row.sample.value()]) : Cell{},
              text(row.quantity), amount_cell(row.value, row.decimals), text_or_empty(row.unit),
              text(row.derived ? "derived" : "measured"), amount_cell(row.below, row.decimals),
              row.below_detection, text_or_empty(plausible_word(row.plausible)), text_or_empty(row.source),
              row.confirmed ? text(core::confirmed_name(*row.confirmed)) : Cell{}, text_or_empty(row.note)});
  }
  console.rows(rows);
  if (rows.rows.empty())
    console.err << "nothing was measured; bring it in with `brookmark import SURVEY measurements FILE`\n";
  return rows.rows.empty() ? kAnswerIsNo : kDone;
}

}  // namespace

void add_chemistry_verbs(Verbs& verbs) {
  const auto command = std::make_shared<ChemistryCommand>();
  verbs
      .add_for_survey(
          "chemistry", "what was measured at each visit, and what follows from it",
          [command](const auto& survey, const Console& c) { return run_chemistry(survey, *command, c); })
      .option("--site", command->site, "one site's code; default: every site")
      .number("--pressure", command->pressure_hpa, 507, 1115,
              "air pressure in hPa at the place, for visits at which none was measured")
      .option("--ammonia-as", command->ammonia_as, "what total ammonia in plain mg/l counts: N or NH4")
      .choices({"N", "NH4"})
      .option("--below-detection", command->below_detection,
              "what stands for a value below detection: bound (default: nothing does), zero, half or limit")
      .choices({"bound", "zero", "half", "limit"})
      .option("--until", command->until, "only visits up to this date, YYYY-MM-DD")
      .with_format();
}

}  // namespace brookmark::viewer
