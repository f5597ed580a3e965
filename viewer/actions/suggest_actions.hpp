// Why: where to sample next is asked, looked at on the map, moved, taken or refused; nothing reaches the survey before it is taken
// or refused, and each of those is one edit that can be taken back.
// Use: apply(SuggestAction{AskSuggestions{}}, state, model);
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <variant>

#include "core/base/geometry.hpp"
#include "viewer/state/design.hpp"

namespace brookmark::viewer {

class Model;
struct State;

struct SetQuestion {
  DesignQuestion question;
};
struct ShowWholeQuestion {
  bool more = true;
};
// Asked again unchanged, what rests on chance is drawn with the next seed.
struct AskSuggestions {};
struct FocusSuggestion {  // and brings it into view
  std::optional<std::size_t> row;
};
struct GrabSuggestion {
  std::size_t row = 0;
};
struct DragSuggestion {
  core::LonLat place;
};
struct LetGoSuggestion {};  // to the channel, with everything told anew
// As proposed sites: one, or all that are left.
struct AcceptSuggestions {
  std::optional<std::size_t> row;
};
// Refusing begins with a reason that is being written; nothing: given up.
struct WriteRefusal {
  std::optional<std::size_t> row;
  std::string why;
};
struct RefuseSuggestion {};  // the one whose reason was written; nothing happens without a reason
struct ClearSuggestions {};

using SuggestAction = std::variant<SetQuestion, ShowWholeQuestion, AskSuggestions, FocusSuggestion,
                                   GrabSuggestion, DragSuggestion, LetGoSuggestion, AcceptSuggestions,
                                   WriteRefusal, RefuseSuggestion, ClearSuggestions>;
void apply_suggest(const SuggestAction& action, State& state, const Model& model);

// After the file was asked: a spot whose site, or whose refusal, is not in the survey stands in the list again; one that is
// there again (done again) leaves it.
void settle_suggestions(State& state, const Model& model);

}  // namespace brookmark::viewer
