#include <algorithm>
#include <cmath>
#include <memory>
#include <ostream>

#include "core/analysis/site_values.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/design/accumulation.hpp"
#include "core/design/power.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct EnoughCommand {
  ScoreOptions score;
  std::string of = "taxa", unit = "samples", site, within, rank = "family", test = "before-after";
  double share = 0.9;
  std::int64_t curve = 0;
  core::PowerOptions power;
  std::optional<double> fall;
};

// The samples asked for: of one site, of a catchment with those inside it, or all.
std::vector<core::SampleIndex> samples_of(const EnoughCommand& command, const Session& session) {
  const core::Snapshot& snapshot = session.snapshot;
  std::optional<core::SiteIndex> site;
  if (!command.site.empty()) {
    site = snapshot.find_site(command.site);
    if (!site) throw Error(ErrorCode::kNotFound, "there is no site \"" + command.site + "\" in this survey");
  }
  std::optional<std::size_t> catchment;
  if (!command.within.empty()) {
    for (std::size_t c = 0; c < snapshot.catchments.size(); ++c)
      if (snapshot.catchments[c].code == command.within || snapshot.catchments[c].name == command.within)
        catchment = c;
    if (!catchment)
      throw Error(ErrorCode::kNotFound, "there is no catchment \"" + command.within + "\" in this survey");
  }
  const auto lies_inside = [&](std::size_t s) {
    for (core::CatchmentIndex c = session.nesting.site_smallest[s]; c.has_value();
         c = session.nesting.parent[c.value()])
      if (c.value() == *catchment) return true;
    return false;
  };
  std::vector<core::SampleIndex> samples;
  for (std::size_t i = 0; i < snapshot.samples.size(); ++i) {
    const core::SiteIndex of = snapshot.samples.site[i];
    if (site && of != *site) continue;
    if (catchment && !lies_inside(of.value())) continue;
    samples.emplace_back(i);
  }
  return samples;
}

Cell number_or_empty(const std::optional<double>& value, int decimals) {
  Cell cell;
  if (value) cell = number(*value, decimals);
  return cell;
}

Cell whole_or_empty(const std::optional<std::size_t>& value) {
  Cell cell;
  if (value) cell = whole(*value);
  return cell;
}

int run_taxa(const EnoughCommand& command, const Session& session, const Console& console) {
  const core::Snapshot& snapshot = session.snapshot;
  const auto rank = core::parse_rank(command.rank);
  if (!rank)
    throw Error(ErrorCode::kBadUse, "\"" + command.rank + "\" is no rank; use family, genus, order ...");
  core::AccumulationOptions options;
  options.rank = *rank;
  options.unit = command.unit == "sites" ? core::AccumulationUnit::kSite : core::AccumulationUnit::kSample;
  options.until = choose_date(command.score.until, newest_day(snapshot));
  const core::Accumulation found = core::accumulate(snapshot, samples_of(command, session), options);
  const auto there = found.estimate();
  const auto needed = core::units_for_share(found, command.share);
  const auto covered = core::units_for_coverage(found, command.share);
  const auto more = [&](const std::optional<std::size_t>& all) -> std::optional<std::size_t> {
    if (!all) return std::nullopt;
    return *all > found.units ? *all - found.units : 0;
  };
  if (command.curve > 0) {
    Rows curve{{command.unit, "taxa", "coverage", "way"}, {}};
    for (std::size_t t = 1; there && t <= static_cast<std::size_t>(command.curve); ++t)
      curve.add({whole(t), number_or_empty(core::taxa_at(found, t), 2),
                 number_or_empty(core::coverage_at(found, t), 4),
                 text(t < found.units    ? "fewer"
                      : t == found.units ? "found"
                                         : "extrapolated")});
    console.rows(curve);
  } else {
    std::string note;
    if (!there) {
      note = "fewer than two " + command.unit + " with records: nothing can be said";
    } else if (found.taxa() == 0) {
      note = "nothing was found in any of them";
    } else {
      if (found.in(2) == 0 && found.in(1) > 0)
        note = "no taxon is in exactly two of them: the estimate is the bias-corrected one";
      for (const auto& all : {needed, covered})
        if (all && *all > 2 * found.units && note.find("twice") == std::string::npos)
          core::append_note(note, "beyond twice what is there an extrapolation rests on little");
      if (!needed)
        core::append_note(note,
                          "no number of " + command.unit + " is expected to show this share of an open list");
      if (!covered)
        core::append_note(note,
                          "no number of " + command.unit +
                              " is expected to reach this coverage: that needs taxa in exactly two of them");
    }
    Rows rows{{"unit", "units", "taxa", "in_one", "in_two", "estimated_taxa", "coverage", "wanted",
               "units_for_taxa", "more_for_taxa", "units_for_coverage", "more_for_coverage", "rank",
               "left_out", "note"},
              {}};
    rows.add({text(command.unit), whole(found.units), whole(found.taxa()), whole(found.in(1)),
              whole(found.in(2)), number_or_empty(there, 2),
              number_or_empty(core::coverage_at(found, found.units), 4), number(command.share, 3),
              whole_or_empty(needed), whole_or_empty(more(needed)), whole_or_empty(covered),
              whole_or_empty(more(covered)), text(core::rank_name(*rank)), whole(found.left_out),
              text_or_empty(note)});
    console.rows(rows);
  }
  console.err << "estimated_taxa is a lower bound (Chao 1987; memory); more are expected by Colwell et al. "
                 "2012, eq. 18 "
                 "(memory); coverage: the share of all occurrences that belongs to taxa found (Chao & Jost "
                 "2012; memory)\n";
  if (found.left_out > 0)
    console.err << found.left_out << (found.left_out == 1 ? " sample" : " samples")
                << " without usable records left out: that nothing was there is not known\n";
  return there ? kDone : kAnswerIsNo;
}

int run_fall(const EnoughCommand& command, const Session& session, const Console& console) {
  const core::Snapshot& snapshot = session.snapshot;
  const auto method = choose_method(command.score.method);
  const std::size_t m = choose_metric(*method, command.score.metric);
  const core::Metric& metric = method->metrics[m];
  const core::SiteValues values = core::metric_values(snapshot, core::score_samples(snapshot, *method), m,
                                                      choose_date(command.score.until, newest_day(snapshot)));
  const core::WithinSites within = core::deviation_within(values);
  const bool paired = command.test == "paired";
  std::optional<core::SiteIndex> only;
  if (!command.site.empty()) {
    only = snapshot.find_site(command.site);
    if (!only) throw Error(ErrorCode::kNotFound, "there is no site \"" + command.site + "\" in this survey");
  }
  Rows rows{
      {"site", "method", "metric", "visits", "mean", "class", "to_class", "fall", "deviation", "degrees",
       "effect", "visits_each", "visits_after", "power_now", "alpha", "power", "test", "note"},
      {}};
  bool any = false;
  const int decimals = std::max(1, core::shown_decimals(metric));
  for (std::size_t s = 0; s < snapshot.sites.size(); ++s) {
    if (only && only->value() != s) continue;
    core::FallOfOneClass fall = core::fall_of_one_class(values, metric, core::SiteIndex(s));
    if (command.fall && fall.visits > 0) {
      fall.fall = *command.fall;
      fall.to_rank = 0;
      fall.note.clear();
    }
    std::optional<double> effect;
    // Two sites visited on the same days: their difference varies by the root of two as much as one of them.
    if (fall.fall && within.deviation && *within.deviation > 0)
      effect = *fall.fall / (*within.deviation * (paired ? std::sqrt(2.0) : 1.0));
    if (fall.fall && !within.deviation)
      core::append_note(fall.note, "too few repeated visits in one season to tell how much they vary");
    else if (fall.fall && *within.deviation <= 0)
      core::append_note(fall.note,
                        "repeated visits never differed, so nothing can be reckoned from their spread");
    std::optional<std::size_t> each, after;
    std::optional<double> now;
    if (effect) {
      each = core::visits_for(*effect, paired, command.power);
      if (!paired) after = core::visits_after(fall.visits, *effect, command.power);
      if (fall.visits >= 2)
        now = core::t_test_power({fall.visits, paired ? 0 : fall.visits}, *effect, command.power);
      any = any || each.has_value();
      if (!each) core::append_note(fall.note, "more than 1000 visits");
      if (!paired && !after)
        core::append_note(fall.note, "with so few visits before no number after is enough");
    }
    Cell mean;
    if (fall.visits > 0) mean = number(fall.mean, decimals);
    rows.add({text(snapshot.sites.code[s]), text(method->id), text(metric.id), whole(fall.visits),
              std::move(mean), class_cell(metric, fall.from_rank), class_cell(metric, fall.to_rank),
              number_or_empty(fall.fall, decimals), number_or_empty(within.deviation, decimals + 1),
              whole(static_cast<std::size_t>(within.degrees)), number_or_empty(effect, 3),
              whole_or_empty(each), whole_or_empty(after), number_or_empty(now, 3),
              number(command.power.alpha, 3), number(command.power.power, 3), text(command.test),
              text_or_empty(fall.note)});
  }
  console.rows(rows);
  console.err << "deviation: of visits to one site in one season of the year, over all sites together ("
              << within.degrees
              << " degrees of freedom); fall: from the mean of the last two years to the middle of the "
                 "next worse class; Student's t test"
              << (command.power.two_sided ? ", two-sided" : ", one-sided")
              << ". Visits that follow each other closely are alike, and a deviation from few visits is "
                 "itself unsure: take "
                 "the numbers as the least\n";
  return any ? kDone : kAnswerIsNo;
}

int run_enough(const std::filesystem::path& survey, const EnoughCommand& command, const Console& console) {
  const Session session = open_for(survey, console);
  return command.of == "fall" ? run_fall(command, session, console) : run_taxa(command, session, console);
}

}  // namespace

void add_enough_verbs(Verbs& verbs) {
  const auto command = std::make_shared<EnoughCommand>();
  verbs
      .add_for_survey(
          "enough", "how many more samples show most taxa, or how many visits show a fall of one class",
          [command](const auto& survey, const Console& c) { return run_enough(survey, *command, c); })
      .option("--of", command->of, "taxa (default) or fall")
      .choices({"taxa", "fall"})
      .option("--site", command->site, "this site alone")
      .option("--within", command->within, "taxa: sites of this catchment")
      .option("--unit", command->unit, "taxa: samples (default) or sites")
      .choices({"samples", "sites"})
      .option("--rank", command->rank, "taxa: counted at this rank; default family")
      .number("--share", command->share, 0.01, 1, "taxa: the share wanted; default 0.9")
      .whole("--curve", command->curve, 0, 100'000,
             "taxa: one row for each number of samples up to this instead")
      .option("--test", command->test,
              "fall: before-after (default) at one site, or paired: two sites visited on the same days")
      .choices({"before-after", "paired"})
      .number("--fall", command->fall, 1e-9, 1e9, "fall: so much, in the metric's unit, instead of one class")
      .number("--alpha", command->power.alpha, 1e-6, 0.5, "fall: chance of a false alarm; default 0.05")
      .number("--power", command->power.power, 0.05, 0.999, "fall: wanted chance of seeing it; default 0.8")
      .flag("--two-sided", command->power.two_sided, "fall: look for a rise as well")
      .with_method(command->score, "fall; default: the first of `brookmark methods`")
      .with_until(command->score)
      .with_format();
}

}  // namespace brookmark::viewer
