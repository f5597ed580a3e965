// Why: everything that a person can do in the window, in one list; only this folder needs it.
#pragma once

#include <variant>

#include "viewer/actions/actions.hpp"

namespace brookmark::viewer {

// clang-format off
struct Action::Any
    : std::variant<Pan, ZoomAt, ZoomCentre, Fit,
                   Drag, LetGo, HoldMap, PassTime, ShowArea, GoToPlace, PointAt,
                   StartMeasure, AddCorner, DropCorner, EndMeasure, ShowBackground, TryBackground,
                   SetDate, StepDate, SetWindow, ChooseSeasons, PlayTime, PlayOn,
                   ChooseMetric,
                   ClickMap, HoverMap,
                   SelectSite, SelectOutfall, OpenSample, ShowLater,
                   StartPointPick, QueryFromSite, QueryFromPoint, SetDirection, FocusTarget, ClearQuery,
                   ClearAll, ShowPage, ShowPanel, ShowLayer,
                   StoreEdits, UndoEdit, RedoEdit, Say, PutAwayMessage,
                   ChangeSettings,
                   ShowSiteView, Light, AskUpstream, StartLasso, LassoTo, EndLasso, ClearLasso, SetTable,
                   EntryAction, EditAction, SuggestAction, DeskAction> {
  using variant::variant;
};
// clang-format on

}  // namespace brookmark::viewer
