// `brookmark names`: what a name as written is, or may mean. The answer comes from core/taxa.
#include <memory>
#include <ostream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/taxa/survey_names.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct NamesCommand {
  std::vector<std::string> words;  // the survey first, where it is given
  std::int64_t most = 5;
};

// What the words around the name say, and what stands at the end of every row of it.
std::vector<Cell> said_by(const core::NameResult& result) {
  return {text_or_empty(result.qualifier), text_or_empty(core::name_doubt_name(result.doubt)),
          result.doubted ? text(core::rank_name(*result.doubted)) : Cell{},
          text_or_empty(core::name_extent_name(result.extent)),
          result.stage == core::LifeStage::kUnknown ? Cell{} : text(core::life_stage_name(result.stage))};
}

// A row for what the name is, and one for each thing that it may mean; false where it is and means nothing.
bool add_name(const core::Checklist& list, const std::string& written, std::size_t most, Rows& rows) {
  const core::NameResult result = list.match(written);
  const auto add = [&](std::vector<Cell> cells) {
    for (Cell& cell : said_by(result)) cells.push_back(std::move(cell));
    rows.add(std::move(cells));
  };
  const bool listed = result.match != core::NameMatch::kNone;
  const core::Taxon& taxon = result.lineage.front();
  if (listed)
    add({text(written),
         text("is"),
         text(taxon.name),
         text(core::rank_name(taxon.rank)),
         text(core::name_match_name(result.match)),
         {},
         {},
         {},
         {}});
  const auto proposals = listed ? result.proposals : list.propose(written, most);
  for (const core::NameProposal& proposal : proposals)
    add({text(written), text("perhaps"), text(proposal.name), text(core::rank_name(proposal.rank)),
         text(core::proposal_kind_name(proposal.kind)), text(proposal.matched_on), whole(proposal.distance),
         number(proposal.score, 3), whole(proposal.records)});
  if (listed || !proposals.empty()) return true;
  add({text(written), text("unknown"), {}, {}, {}, {}, {}, {}, {}});
  return false;
}

int run_names(const NamesCommand& command, const Console& console) {
  std::vector<std::string> names = command.words;
  core::Checklist list = core::checklist();
  if (names.front().ends_with(".brook")) {
    const Session session = open_for(names.front(), console);
    list = list.known_in(core::names_in_use(session.snapshot));
    names.erase(names.begin());
    if (names.empty())
      throw Error(ErrorCode::kBadUse, "no name was given; write one or more after the survey");
  }
  Rows rows{{"written", "answer", "taxon", "rank", "how", "matched_on", "distance", "score", "records",
             "qualifier", "doubt", "doubted_from", "extent", "life_stage"},
            {}};
  bool all = true;
  for (const std::string& name : names)
    all = add_name(list, name, static_cast<std::size_t>(command.most), rows) && all;
  console.rows(rows);
  if (!all)
    console.err << "some of it is neither listed nor like anything listed; such a name is kept as it is and "
                   "never scores\n";
  return all ? kDone : kAnswerIsNo;
}

}  // namespace

void add_names_verbs(Verbs& verbs) {
  const auto command = std::make_shared<NamesCommand>();
  verbs
      .add("names", "what a name as written is, or may mean: misspelt, half, shortened, common",
           [command](const Console& c) { return run_names(*command, c); })
      .word("TEXT", command->words,
            "names, each one word or in quotes; a survey file (.brook) before them puts the names that it "
            "has first")
      .required()
      .whole("--most", command->most, 1, 50, "how many proposals a name gets at most; default 5")
      .with_format();
}

}  // namespace brookmark::viewer
