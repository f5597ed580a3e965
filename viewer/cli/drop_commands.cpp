#include <algorithm>
#include <memory>
#include <ostream>

#include "core/analysis/drops.hpp"
#include "core/base/text.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct DropsCommand {
  ScoreOptions score;
  bool all = false, history = false;
  std::int64_t days = core::DropOptions{}.max_days_apart;
};

std::string counted(std::size_t count, const char* one, const char* many) {
  return std::to_string(count) + " " + (count == 1 ? one : many);
}

struct DropRows {
  const core::Snapshot& snapshot;
  const core::ScoreTable& scores;
  const core::Metric& metric;
  std::size_t m;
  Rows rows{{"upstream_site",
             "downstream_site",
             "date_up",
             "date_down",
             "season",
             "fall",
             "low",
             "high",
             "probability",
             "class_up",
             "class_down",
             "length_m",
             "outfalls",
             "tributaries",
             "since",
             "note",
             "worse_in_a_row",
             "pairs",
             "value_up",
             "value_down",
             "method",
             "metric",
             "confirmed",
             "confidence_note"},
            {}};

  Cell value_of(core::SampleIndex sample) const {
    const core::SampleScore& score = scores.metrics[m][sample.value()];
    return score.has_value ? number(score.value, core::shown_decimals(metric)) : Cell{};
  }

  // One pair of a stretch; `whole`: with what is said of the stretch at the date.
  void add(const core::Drop& drop, const core::SamplePair* pair, bool whole_stretch) {
    const int decimals = core::shown_decimals(metric);
    std::vector<Cell> row{text(snapshot.sites.code[drop.up.value()]),
                          text(snapshot.sites.code[drop.down.value()])};
    if (pair) {
      row[0] = text(snapshot.sites.code[snapshot.samples.site[pair->up.value()].value()]);
      row[1] = text(snapshot.sites.code[snapshot.samples.site[pair->down.value()].value()]);
    }
    const auto day = [&](core::SampleIndex sample) {
      return text(core::format_date(snapshot.samples.date[sample.value()]));
    };
    row.insert(row.end(), {pair ? day(pair->up) : Cell{}, pair ? day(pair->down) : Cell{},
                           pair ? text(core::season_name(pair->season)) : Cell{},
                           pair && pair->fall ? number(*pair->fall, decimals) : Cell{}});
    const bool sure = whole_stretch && drop.confidence.has_value();
    if (sure) {
      row.push_back(number(drop.confidence->low, decimals + 1));
      row.push_back(number(drop.confidence->high, decimals + 1));
      row.push_back(number(drop.confidence->probability, 3));
    } else {
      row.resize(row.size() + 3);
    }
    row.insert(row.end(),
               {pair ? class_cell(metric, pair->rank_up) : Cell{},
                pair ? class_cell(metric, pair->rank_down) : Cell{}, number(drop.stretch.length_m, 1)});
    if (whole_stretch) {
      row.insert(row.end(), {text_or_empty(core::outfalls_text(snapshot, drop)),
                             text_or_empty(core::tributaries_text(snapshot, drop)),
                             drop.since ? text(core::format_date(*drop.since)) : Cell{},
                             text_or_empty(drop.note), whole(drop.worse_in_a_row), whole(drop.pairs.size())});
    } else {
      row.insert(row.end(), 6, Cell{});
    }
    row.insert(row.end(), {pair ? value_of(pair->up) : Cell{}, pair ? value_of(pair->down) : Cell{},
                           text(scores.method->id), text(metric.id),
                           text(core::confirmed_name(scores.method->confirmed)),
                           sure ? text_or_empty(drop.confidence->rests_on) : Cell{}});
    rows.add(std::move(row));
  }
};

// What the probabilities listed are, and every caution that goes with one of them.
std::string probability_words(std::span<const core::Drop> listed) {
  std::vector<std::string> cautions;
  for (const core::Drop& drop : listed)
    if (drop.confidence &&
        std::find(cautions.begin(), cautions.end(), drop.confidence->rests_on) == cautions.end())
      cautions.push_back(drop.confidence->rests_on);
  if (cautions.empty()) return {};
  std::string words =
      "probability: of a fall above 0, by drawing the animals of both samples again; a draw without any fall "
      "counts half. low and high: 95 % interval of the fall.";
  if (cautions.size() == 1) return words + " Both cover " + cautions.front() + "\n";
  return words + " What both cover stands in confidence_note: " + core::joined(cautions, " | ") + "\n";
}

// Those that fall stand before those that do not.
std::size_t worst_listed(const std::vector<core::Drop>& drops) {
  const auto end =
      std::find_if(drops.begin(), drops.end(), [](const core::Drop& d) { return !d.is_worse(); });
  return static_cast<std::size_t>(end - drops.begin());
}

int run_drops(const std::filesystem::path& survey, const DropsCommand& command, const Console& console) {
  const Session session = open_for(survey, console);
  const core::Snapshot& snapshot = session.snapshot;
  const auto method = choose_method(command.score.method);
  const std::size_t m = choose_metric(*method, command.score.metric);
  const core::Period period = choose_period(command.score, newest_day(snapshot));
  const core::ScoreTable scores = core::score_samples(snapshot, *method);
  std::vector<core::Drop> drops =
      core::find_drops(snapshot, scores, m, session.channels, period, {static_cast<int>(command.days)});
  const auto worse = static_cast<std::size_t>(
      std::count_if(drops.begin(), drops.end(), [](const core::Drop& d) { return d.is_worse(); }));
  const auto bare = static_cast<std::size_t>(
      std::count_if(drops.begin(), drops.end(), [](const core::Drop& d) { return d.pairs.empty(); }));

  // Drawing takes its time: only for what is listed, which stands first.
  const auto shown = std::span(drops).first(command.all ? drops.size() : worst_listed(drops));
  core::add_confidence(shown, snapshot, *method, m);
  const auto clear = static_cast<std::size_t>(
      std::count_if(shown.begin(), shown.end(), [](const core::Drop& d) { return d.since.has_value(); }));
  DropRows listed{snapshot, scores, method->metrics[m], m};
  for (const core::Drop& drop : drops) {
    if (!command.all && !drop.is_worse()) continue;
    if (!command.history) {
      listed.add(drop, drop.newest(), true);
      continue;
    }
    for (const core::SamplePair& pair : drop.pairs) listed.add(drop, &pair, &pair == drop.newest());
    if (drop.pairs.empty()) listed.add(drop, nullptr, true);
  }
  console.rows(listed.rows);
  if (snapshot.reaches.empty())
    console.err
        << "the survey has no watercourses, so nothing is up or down stream; bring them in with `brookmark "
           "import SURVEY watercourses FILE`\n";
  else if (drops.empty())
    console.err << "no two sites on one flow path can be compared by this method "
                << core::period_words(period) << "\n";
  else
    console.err << counted(drops.size(), "stretch", "stretches") << " between neighbours "
                << core::period_words(period) << ": worse below in " << worse
                << (worse > clear ? " (clearly in " + std::to_string(clear) + ")" : "") << ", not in "
                << drops.size() - worse - bare << ", nothing to compare in " << bare
                << (command.all ? "" : " (--all lists them too)") << "\n"
                << probability_words(shown);
  return worse > 0 ? kDone : kAnswerIsNo;
}

}  // namespace

void add_drop_verbs(Verbs& verbs) {
  const auto command = std::make_shared<DropsCommand>();
  verbs
      .add_for_survey(
          "drops", "between which neighbours on one flow path the quality falls, worst first",
          [command](const auto& survey, const Console& c) { return run_drops(survey, *command, c); })
      .with_method(command->score, "default: the first of `brookmark methods`")
      .with_period(command->score)
      .flag("--all", command->all, "also stretches that do not fall or cannot be compared")
      .flag("--history", command->history,
            "each pair of samples of a stretch, oldest first, not the newest alone")
      .whole("--days", command->days, 0, 366,
             "how many days the two samples may lie apart, within one season; default 30")
      .with_format()
      .footer([] {
        return "since: the first pair of samples from which on every pair up to the newest is clearly worse "
               "below: by "
               "a class lost, or by a fall whose 95 % interval lies above 0. A method without classes whose "
               "animals "
               "were not counted has neither: there any fall counts, and the note says so. Empty where the "
               "newest "
               "pair is not clearly different. A rule, not a test: worse_in_a_row says how many pairs it "
               "rests "
               "on.";
      });
}

}  // namespace brookmark::viewer
