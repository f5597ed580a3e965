#include <memory>
#include <ostream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/scoring/still_water.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct ReadingCommand {
  std::string sample, site;
};

// Samples asked for; of a whole survey those of waters that may stand.
std::vector<core::SampleIndex> samples_asked(const core::Snapshot& snapshot, const ReadingCommand& command,
                                             const std::filesystem::path& survey, std::size_t& left_out) {
  std::vector<core::SampleIndex> samples;
  if (!command.sample.empty()) {
    const auto sample = snapshot.find_sample(command.sample);
    if (!sample)
      throw Error(ErrorCode::kNotFound,
                  "there is no sample \"" + command.sample + "\"; `brookmark score` lists them",
                  survey.string());
    samples.push_back(*sample);
  } else if (!command.site.empty()) {
    const auto site = snapshot.find_site(command.site);
    if (!site)
      throw Error(ErrorCode::kNotFound, "there is no site \"" + command.site + "\"", survey.string());
    const auto [first, last] = snapshot.samples_of(*site);
    for (std::size_t s = first.value(); s < last.value(); ++s) samples.emplace_back(s);
  } else {
    for (std::size_t s = 0; s < snapshot.samples.size(); ++s) {
      const core::WaterKind kind = snapshot.sites.kind[snapshot.samples.site[s].value()];
      if (kind == core::WaterKind::kUnknown || core::flow_of(kind) == core::Flow::kRunning)
        ++left_out;
      else
        samples.emplace_back(s);
    }
  }
  return samples;
}

void add_reading(const core::Snapshot& snapshot, const core::StillReading& reading, Rows& rows) {
  const std::size_t s = reading.sample.value();
  const auto add = [&](const std::string& item, const std::string& finding, const std::string& direction,
                       const std::string& strength, const std::string& animals, const std::string& source,
                       const std::string& confirmed) {
    rows.add({text(snapshot.samples.code[s]), text(snapshot.sites.code[snapshot.samples.site[s].value()]),
              text(core::format_date(snapshot.samples.date[s])), text(item), text(finding), text(direction),
              text_or_empty(strength), text_or_empty(animals), text_or_empty(source),
              text_or_empty(confirmed)});
  };
  for (const core::Evidence& evidence : reading.evidence) {
    std::vector<std::string> animals;
    for (const core::RecordIndex record : evidence.records)
      animals.emplace_back(snapshot.records.verbatim_name[record.value()]);
    add(evidence.item, evidence.finding, core::pointing_words(evidence.pointing),
        core::strength_word(evidence.strength), core::joined(animals, "|"), evidence.source,
        core::confirmed_name(evidence.confirmed));
  }
  const bool in_scope = reading.verdict != core::Verdict::kOutOfScope;
  add("summing up", reading.why + (reading.caution.empty() ? "" : " " + reading.caution),
      core::verdict_words(reading.verdict), "", "", in_scope ? "Common practice, no published source" : "",
      in_scope ? "memory" : "");
}

int run_reading(const std::filesystem::path& survey, const ReadingCommand& command, const Console& console) {
  if (!command.sample.empty() && !command.site.empty())
    throw Error(ErrorCode::kBadUse, "give a sample or --site, not both");
  const Session session = open_for(survey, console);
  std::size_t left_out = 0;
  const auto samples = samples_asked(session.snapshot, command, survey, left_out);
  const core::StillWaterReader reader(session.snapshot);
  Rows rows{{"sample", "site", "date", "item", "finding", "direction", "strength", "records", "source",
             "confirmed"},
            {}};
  bool any_read = false;
  for (const core::SampleIndex sample : samples) {
    const core::StillReading reading = reader.read(sample);
    any_read = any_read || reading.verdict != core::Verdict::kOutOfScope;
    add_reading(session.snapshot, reading, rows);
  }
  console.rows(rows);
  if (left_out > 0)
    console.err << left_out << (left_out == 1 ? " sample" : " samples")
                << " of running or unknown waters left out: a reading is for still water only\n";
  if (!any_read) console.err << "there is no sample of a still water to read\n";
  if (any_read) console.err << core::kStillWaterCaution << '\n';
  return any_read ? kDone : kAnswerIsNo;
}

}  // namespace

void add_still_water_verbs(Verbs& verbs) {
  const auto command = std::make_shared<ReadingCommand>();
  verbs
      .add_for_survey(
          "reading", "what the animals of a still water point to, piece by piece",
          [command](const auto& survey, const Console& c) { return run_reading(survey, *command, c); })
      .word("SAMPLE", command->sample, "one sample; default: all of still waters")
      .option("--site", command->site, "all samples of this site")
      .with_format();
}

}  // namespace brookmark::viewer
