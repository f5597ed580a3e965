#include <ostream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/sharing/blur_grid.hpp"
#include "core/store/survey_file.hpp"
#include "core/survey/rows.hpp"
#include "core/taxa/checklist.hpp"
#include "viewer/cli/hand_over_internal.hpp"
#include "viewer/cli/verbs.hpp"
#include "viewer/sharing_words.hpp"
#include "viewer/survey_work.hpp"

namespace brookmark::viewer {

namespace {

struct ShareCommand {
  std::optional<std::string> site, taxon, person;
  std::string as, cell;
  bool to_come = false;
};

core::Sharing sharing_of(const ShareCommand& command) {
  const auto sharing = core::parse_sharing(command.as);
  if (!sharing) throw Error(ErrorCode::kBadUse, "say how with --as open, --as blurred or --as withheld");
  return *sharing;
}

core::Edit edit_for_site(const core::Snapshot& snapshot, const ShareCommand& command) {
  const auto site = snapshot.find_site(*command.site);
  if (!site) throw Error(ErrorCode::kNotFound, "there is no site \"" + *command.site + "\" in this survey");
  if (!command.cell.empty())
    throw Error(ErrorCode::kBadUse,
                "--cell belongs to a taxon; the cell of sites is chosen with export --blur");
  core::Site row = core::site_row(snapshot, *site);
  row.sharing = sharing_of(command);
  return core::Replace<core::Site>{row};
}

// Whether a record's name is this one, or begins with it.
bool is_recorded(const core::Snapshot& snapshot, const std::string& name) {
  const std::string wanted = core::fold_name(name);
  const auto is_it = [&](std::string_view text) {
    const std::string folded = core::fold_name(text);
    return folded == wanted || folded.starts_with(wanted + " ");
  };
  for (std::size_t r = 0; r < snapshot.records.size(); ++r)
    if (is_it(snapshot.records.verbatim_name[r])) return true;
  for (std::size_t t = 0; t < snapshot.taxa.size(); ++t)
    if (is_it(snapshot.taxa.name[t])) return true;
  return false;
}

core::Edit edit_for_taxon(const core::Snapshot& snapshot, const ShareCommand& command) {
  const core::Sharing sharing = sharing_of(command);
  // A common name or a synonym stands for the accepted one; a name that is not listed stands for itself.
  const core::NameResult known = core::checklist().match(*command.taxon);
  core::SensitiveTaxon row;
  row.name = known.lineage.front().name;
  bool there = false;
  for (const core::SensitiveTaxon& taxon : snapshot.sensitive_taxa)
    if (core::fold_name(taxon.name) == core::fold_name(row.name)) {
      row = taxon;
      there = true;
    }
  if (sharing == core::Sharing::kOpen) {
    if (!there)
      throw Error(ErrorCode::kNotFound, "\"" + row.name + "\" has no rule that could be taken back");
    return core::Remove{core::TableName::kSensitiveTaxon, row.key};
  }
  row.sharing = sharing;
  row.cell_m = command.cell.empty() ? std::nullopt : std::optional(cell_size(command.cell, "--cell"));
  if (there) return core::Replace<core::SensitiveTaxon>{row};
  if (known.match == core::NameMatch::kNone && !command.to_come && !is_recorded(snapshot, row.name)) {
    std::string sentence =
        "\"" + row.name +
        "\" is no listed name and no record bears it, so the rule would hold nothing back; ";
    if (!known.proposals.empty()) sentence += "did you mean " + known.proposals.front().name + "? ";
    throw Error(
        ErrorCode::kNotFound,
        sentence + "Write it as it is recorded, or add --to-come for an animal that is not recorded yet");
  }
  return core::AddSensitiveTaxon{row};
}

core::Edit edit_for_person(const core::Snapshot& snapshot, const ShareCommand& command) {
  core::Person row;
  row.name = *command.person;
  bool there = false;
  for (const core::Person& person : snapshot.people)
    if (core::fold_name(person.name) == core::fold_name(row.name)) {
      row = person;
      there = true;
    }
  if (command.as != "named" && command.as != "unnamed")
    throw Error(ErrorCode::kBadUse, "say whether the person agreed, with --as named or --as unnamed");
  row.agreed = command.as == "named";
  if (there) return core::Replace<core::Person>{row};
  return core::AddPerson{row};
}

bool is_named(const core::Snapshot& snapshot, const std::string& person) {
  const std::string wanted = core::fold_name(person);
  for (std::size_t v = 0; v < snapshot.visits.size(); ++v)
    if (core::fold_name(snapshot.visits.people[v]).find(wanted) != std::string::npos) return true;
  return false;
}

Rows rules_of(const core::Snapshot& snapshot) {
  Rows rows{{"kind", "name", "shared", "cell_m"}, {}};
  for (std::size_t i = 0; i < snapshot.sites.size(); ++i)
    if (snapshot.sites.sharing[i] != core::Sharing::kOpen)
      rows.add({text("site"),
                text(snapshot.sites.code[i]),
                text(core::sharing_name(snapshot.sites.sharing[i])),
                {}});
  for (const core::SensitiveTaxon& taxon : snapshot.sensitive_taxa)
    rows.add({text("taxon"), text(taxon.name), text(core::sharing_name(taxon.sharing)),
              exact_or_empty(taxon.cell_m)});
  for (const core::Person& person : snapshot.people)
    rows.add({text("person"), text(person.name), text(person.agreed ? "named" : "unnamed"), {}});
  return rows;
}

int run_share(const std::filesystem::path& survey, const ShareCommand& command, const Console& console) {
  const int asked = (command.site ? 1 : 0) + (command.taxon ? 1 : 0) + (command.person ? 1 : 0);
  if (asked == 0) {
    if (!command.as.empty() || !command.cell.empty())
      throw Error(ErrorCode::kBadUse, "say for what: --site CODE, --taxon NAME or --person NAME");
    console.rows(rules_of(core::SurveyFile::open(survey, core::Access::kRead).read()));
    return kDone;
  }
  if (asked > 1) throw Error(ErrorCode::kBadUse, "one rule at a time: --site, --taxon or --person");
  core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kEdit);
  const core::Snapshot snapshot = file.read();
  const core::Edit edit = command.site    ? edit_for_site(snapshot, command)
                          : command.taxon ? edit_for_taxon(snapshot, command)
                                          : edit_for_person(snapshot, command);
  if (command.person && !is_named(snapshot, *command.person))
    console.err << "note: no visit names \"" << *command.person
                << "\"; names are compared as they are written\n";
  const std::string what = command.site    ? "site " + *command.site
                           : command.taxon ? "taxon " + *command.taxon
                                           : std::string("a person");
  file.apply({kSharingEdit, what + ": " + command.as, {edit}});
  console.err << "from now on " << (command.person ? *command.person : what) << " is shared " << command.as
              << '\n'
              << "see what stays at home with: brookmark export " << survey.string()
              << " OUT.gpkg --preview\n";
  return kDone;
}

}  // namespace

double cell_size(const std::string& words, const char* option) {
  if (const auto size = read_cell_size(words)) return *size;
  throw Error(ErrorCode::kBadUse,
              "\"" + words + "\" is no size of a grid cell; write " + option + " 1km, or 10 m to 1000 km");
}

void add_share_verbs(Verbs& verbs) {
  const auto command = std::make_shared<ShareCommand>();
  verbs
      .add_for_survey(
          "share", "what may leave: list the rules, or set one",
          [command](const auto& survey, const Console& c) { return run_share(survey, *command, c); })
      .option("--site", command->site, "a site by its code")
      .option("--taxon", command->taxon, "a taxon by its name, with all below it")
      .flag("--to-come", command->to_come,
            "of a taxon: set the rule though the name is neither listed nor recorded yet")
      .option("--person", command->person, "somebody named in visits")
      .option("--as", command->as, "open, blurred or withheld; of a person: named or unnamed")
      .choices({"open", "blurred", "withheld", "named", "unnamed"})
      .option("--cell", command->cell,
              "of a taxon: least size of the grid cell, like 2km; default: that of the export")
      .with_format();
}

}  // namespace brookmark::viewer
