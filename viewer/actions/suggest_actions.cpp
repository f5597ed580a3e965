#include "viewer/actions/suggest_actions.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "core/analysis/reach_assessment.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/base/uuid.hpp"
#include "core/design/bracket.hpp"
#include "core/design/gap.hpp"
#include "core/design/narrow.hpp"
#include "core/design/variety.hpp"
#include "viewer/state/model.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {
namespace {

core::DesignSource source_of(const State& state, const Model& model) {
  const Session& session = model.session();
  return {session.snapshot, session.channels, session.nesting, state.date.value_or(core::today_utc())};
}

core::KeepOutOptions keep_out_of(const DesignQuestion& question) {
  core::KeepOutOptions keep_out{question.road_m, question.around_m, {}};
  if (question.walk_m > 0) keep_out.walk_m = question.walk_m;
  return keep_out;
}

core::DesignOptions options_of(const State& state, const Model& model) {
  const DesignQuestion& question = state.design.question;
  core::DesignOptions options;
  options.count = static_cast<std::size_t>(std::max(question.count, 1));
  options.seed = question.seed;
  options.spots.on = question.on;
  options.spots.spacing_m = question.spacing_m;
  options.keep_out = keep_out_of(question);
  if (!question.within.empty()) {
    options.area = core::parse_area(question.within, model.snapshot());
  } else if (question.in_sight) {
    const Viewport& view = state.view;
    options.area.centre = model.frame().to_lonlat(view.centre);
    options.area.radius_m = std::min(view.box.width, view.box.height) / 2 * view.metres_per_pixel;
    options.area.words = "what the map shows";
  }
  return options;
}

core::ClearOptions clear_of(const DesignQuestion& question) {
  core::ClearOptions clear{question.clear_m, {}};
  if (question.mixing_m > 0) clear.mixing_m = question.mixing_m;
  return clear;
}

core::Suggestions answer_of(const State& state, const Model& model) {
  const DesignQuestion& question = state.design.question;
  const core::DesignSource source = source_of(state, model);
  core::DesignOptions options = options_of(state, model);
  switch (question.purpose) {
    case core::Purpose::kSpread:
      return core::suggest_spread(source, options, {question.strata, question.beside_sites});
    case core::Purpose::kGap: {
      const core::Assessment* known = model.assessment(state.choice, state.period());
      const core::ReachAssessment* reaches = model.reaches(state.choice, state.period());
      if (known == nullptr || reaches == nullptr)
        throw Error(ErrorCode::kNotFound, "without watercourses there are no stretches to look at");
      core::Assessment sure = *known;
      core::add_confidence(sure, model.snapshot());
      return core::suggest_gap(source, options, sure, *reaches, clear_of(question));
    }
    case core::Purpose::kBracket: {
      core::BracketOptions bracket;
      bracket.clear = clear_of(question);
      bracket.below = static_cast<std::size_t>(std::max(question.below, 1));
      if (state.outfall) {
        bracket.outfalls = {*state.outfall};
        options.count = 1 + bracket.below;
      } else {
        options.count = std::max<std::size_t>((1 + bracket.below) * model.snapshot().outfalls.size(), 1);
      }
      return core::suggest_bracket(source, options, bracket);
    }
    case core::Purpose::kNarrow: {
      const std::vector<core::Drop>* falls = model.drops(state.choice, state.period());
      if (falls == nullptr)
        throw Error(ErrorCode::kNotFound, "without watercourses there are no stretches to narrow down");
      const core::NarrowOptions narrow{question.outfall_m, question.tributary_m, clear_of(question),
                                       question.fine_m};
      if (question.upper.empty() != question.lower.empty())
        throw Error(ErrorCode::kBadUse, "say both sites, the upper and the lower one, or neither");
      const core::Assessment* known = model.assessment(state.choice, state.period());
      if (known == nullptr)
        throw Error(ErrorCode::kNotFound, "without samples there is no fall to narrow down");
      return core::suggest_narrow(
          source, options,
          question.upper.empty() ? core::worst_fall(*falls)
                                 : core::fall_between({model.snapshot(), model.scores(state.choice.method),
                                                       state.choice.metric, source.network, known->period},
                                                      *falls, question.upper, question.lower),
          narrow);
    }
    case core::Purpose::kVariety:
      break;
  }
  core::VarietyOptions variety;
  for (const std::string& word : question.by)
    variety.by.push_back(core::parse_habitat_choice(word, model.snapshot(), source.day));
  return core::suggest_variety(source, options, variety);
}

// Rows below it have other places then.
void shift_rows(Design& design, std::size_t row, bool in) {
  for (std::optional<std::size_t>* at : {&design.focus, &design.held, &design.refusing}) {
    if (!*at) continue;
    if (in && **at >= row)
      ++**at;
    else if (!in && **at == row)
      at->reset();
    else if (!in && **at > row)
      --**at;
  }
  if (!design.refusing) design.why.clear();
}

void take_out(Design& design, std::size_t row) {
  design.answer.list.erase(design.answer.list.begin() + static_cast<std::ptrdiff_t>(row));
  shift_rows(design, row, false);
}

// Out of the list, for the row of the survey that has this key.
void take_row(Design& design, std::size_t row, std::string key) {
  core::Suggestion spot = design.answer.list[row];
  std::erase_if(design.taken, [&](const TakenSpot& t) { return t.spot.code == spot.code; });
  design.taken.push_back({std::move(spot), std::move(key), row});
  take_out(design, row);
  design.focus.reset();
  design.held.reset();
  design.refusing.reset();
  design.why.clear();
}

struct ApplySuggest {
  State& state;
  const Model& model;
  Design& design = state.design;

  // Spots of one purpose say nothing about another: they go with it, from the page and from the map.
  void operator()(const SetQuestion& a) const {
    const bool other = a.question.purpose != design.question.purpose;
    if (other) {
      Design next;
      next.more = design.more;
      design = next;
    }
    design.question = a.question;
  }
  void operator()(const ShowWholeQuestion& a) const { design.more = a.more; }
  void operator()(const AskSuggestions&) const {
    Design next;
    next.question = design.question;
    next.more = design.more;
    if (design.asked == design.question && design.question.purpose == core::Purpose::kSpread)
      ++next.question.seed;
    design = next;
    design.asked = design.question;
    try {
      design.answer = answer_of(state, model);
    } catch (const Error& error) {
      design.trouble = error.what();
    }
  }
  void operator()(const FocusSuggestion& a) const {
    if (a.row && *a.row >= design.answer.list.size()) return;
    design.focus = a.row;
    if (!a.row) return;
    const core::PlanePoint place = model.frame().to_plane(design.answer.list[*a.row].spot.position);
    if (!state.view.box.contains(state.view.to_pixel(place))) state.view.centre = place;
  }
  void operator()(const GrabSuggestion& a) const {
    if (a.row < design.answer.list.size()) design.held = a.row;
  }
  void operator()(const DragSuggestion& a) const {
    if (!design.held || *design.held >= design.answer.list.size()) return;
    design.dragged_to = a.place;
  }
  void operator()(const LetGoSuggestion&) const {
    if (design.held && *design.held < design.answer.list.size()) {
      design.focus = design.held;
      if (design.dragged_to) {
        core::Suggestion& held = design.answer.list[*design.held];
        held = core::moved_to(held, *design.dragged_to, source_of(state, model), keep_out_of(design.question),
                              clear_of(design.question));
      }
    }
    design.held.reset();
    design.dragged_to.reset();
  }
  void operator()(const AcceptSuggestions& a) const {
    if (design.answer.list.empty() || (a.row && *a.row >= design.answer.list.size())) return;
    const std::size_t first = a.row.value_or(0), count = a.row ? 1 : design.answer.list.size();
    const auto spots = std::span<const core::Suggestion>(design.answer.list).subspan(first, count);
    core::EditBatch batch = core::proposal_batch(spots);
    batch.edits.clear();
    std::vector<std::string> keys;
    for (const core::Suggestion& spot : spots) {
      core::Site site = core::proposed_site(spot);
      keys.push_back(site.key =
                         core::random_uuid());  // by which the spot is found should the edit be taken back
      batch.edits.push_back(core::AddSite{std::move(site)});
    }
    state.orders.push_back({.batch = std::move(batch)});
    for (std::size_t i = count; i-- > 0;) take_row(design, first + i, keys[i]);
  }
  void operator()(const WriteRefusal& a) const {
    if (a.row && *a.row >= design.answer.list.size()) return;
    design.refusing = a.row;
    design.why = a.row ? a.why : std::string();
  }
  void operator()(const RefuseSuggestion&) const {
    if (!design.refusing || *design.refusing >= design.answer.list.size() || core::trim(design.why).empty())
      return;
    const core::Suggestion& refused = design.answer.list[*design.refusing];
    core::Ground ground = core::refused_ground(refused, design.why);
    const std::string key = ground.key = core::random_uuid();
    state.orders.push_back({.batch = {"refuse a spot",
                                      refused.place + ": " + std::string(core::trim(design.why)),
                                      {core::AddGround{std::move(ground)}}}});
    take_row(design, *design.refusing, key);
  }
  void operator()(const ClearSuggestions&) const {
    Design next;
    next.question = design.question;
    next.more = design.more;
    design = next;
  }
};

}  // namespace

void apply_suggest(const SuggestAction& action, State& state, const Model& model) {
  std::visit(ApplySuggest{state, model}, action);
}

void settle_suggestions(State& state, const Model& model) {
  Design& design = state.design;
  if (design.taken.empty()) return;
  const core::Snapshot& s = model.snapshot();
  std::set<std::string, std::less<>> there;
  for (std::size_t i = 0; i < s.sites.size(); ++i) there.emplace(s.sites.key[i]);
  for (const core::Ground& ground : s.grounds) there.insert(ground.key);
  auto& list = design.answer.list;
  // The one taken last first: it then has the place that it had.
  for (auto t = design.taken.rbegin(); t != design.taken.rend(); ++t) {
    if (t->open == !there.contains(t->key)) continue;
    const auto at = std::find_if(list.begin(), list.end(),
                                 [&](const core::Suggestion& spot) { return spot.code == t->spot.code; });
    if (!t->open && at == list.end()) {
      const std::size_t row = std::min(t->row, list.size());
      list.insert(list.begin() + static_cast<std::ptrdiff_t>(row), t->spot);
      shift_rows(design, row, true);
    } else if (t->open && at != list.end()) {
      take_out(design, static_cast<std::size_t>(at - list.begin()));
    }
    t->open = !t->open;
  }
}

}  // namespace brookmark::viewer
