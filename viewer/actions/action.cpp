#include "viewer/actions/action_internal.hpp"
#include "viewer/actions/actions.hpp"

namespace brookmark::viewer {

template <class A>
Action::Action(A what) : any_(std::make_shared<const Any>(std::move(what))) {}

template Action::Action(Pan);
template Action::Action(ZoomAt);
template Action::Action(ZoomCentre);
template Action::Action(Fit);
template Action::Action(Drag);
template Action::Action(LetGo);
template Action::Action(HoldMap);
template Action::Action(PassTime);
template Action::Action(ShowArea);
template Action::Action(PointAt);
template Action::Action(StartMeasure);
template Action::Action(AddCorner);
template Action::Action(DropCorner);
template Action::Action(EndMeasure);
template Action::Action(ShowBackground);
template Action::Action(TryBackground);
template Action::Action(SetDate);
template Action::Action(StepDate);
template Action::Action(SetWindow);
template Action::Action(ChooseSeasons);
template Action::Action(PlayTime);
template Action::Action(PlayOn);
template Action::Action(ChooseMetric);
template Action::Action(ClickMap);
template Action::Action(HoverMap);
template Action::Action(SelectSite);
template Action::Action(SelectOutfall);
template Action::Action(OpenSample);
template Action::Action(ShowLater);
template Action::Action(StartPointPick);
template Action::Action(QueryFromSite);
template Action::Action(QueryFromPoint);
template Action::Action(SetDirection);
template Action::Action(FocusTarget);
template Action::Action(ClearQuery);
template Action::Action(ClearAll);
template Action::Action(ShowPage);
template Action::Action(ShowPanel);
template Action::Action(ShowLayer);
template Action::Action(StoreEdits);
template Action::Action(UndoEdit);
template Action::Action(Say);
template Action::Action(PutAwayMessage);
template Action::Action(ChangeSettings);
template Action::Action(ShowSiteView);
template Action::Action(Light);
template Action::Action(AskUpstream);
template Action::Action(StartLasso);
template Action::Action(LassoTo);
template Action::Action(EndLasso);
template Action::Action(ClearLasso);
template Action::Action(SetTable);

template Action::Action(StartEntry);
template Action::Action(ResumeEntry);
template Action::Action(AnotherSample);
template Action::Action(TypeField);
template Action::Action(ChooseSampleKind);
template Action::Action(ShowEntryPart);
template Action::Action(TapTaxon);
template Action::Action(TypeName);
template Action::Action(LightChoice);
template Action::Action(TakeChoice);
template Action::Action(TypeNumber);
template Action::Action(TakeNumber);
template Action::Action(LeaveName);
template Action::Action(ChangeCount);
template Action::Action(RemoveLine);
template Action::Action(ChooseTallyWay);
template Action::Action(ChooseStage);
template Action::Action(ChooseUnsure);
template Action::Action(TypeReading);
template Action::Action(KeepReading);
template Action::Action(UndoOnSheet);
template Action::Action(CloseEntry);

template Action::Action(TakeTool);
template Action::Action(TapEdit);
template Action::Action(GrabEdit);
template Action::Action(DragEdit);
template Action::Action(DropEdit);
template Action::Action(PlaceEdit);
template Action::Action(TypeEditCode);
template Action::Action(TypeEditName);
template Action::Action(ChooseEditWater);
template Action::Action(ChooseEditOutfall);
template Action::Action(SetTwoWay);
template Action::Action(TurnReach);
template Action::Action(TakeOutVertex);
template Action::Action(StepBackEdit);
template Action::Action(StoreEdit);
template Action::Action(SetStatus);
template Action::Action(RemoveReach);

template Action::Action(SetQuestion);
template Action::Action(AskSuggestions);
template Action::Action(FocusSuggestion);
template Action::Action(GrabSuggestion);
template Action::Action(DragSuggestion);
template Action::Action(LetGoSuggestion);
template Action::Action(AcceptSuggestions);
template Action::Action(WriteRefusal);
template Action::Action(RefuseSuggestion);
template Action::Action(ClearSuggestions);

template Action::Action(OpenDialog);
template Action::Action(ChangeDialog);
template Action::Action(CloseDialog);
template Action::Action(RunDialog);
template Action::Action(OpenDemo);
template Action::Action(DropFile);
template Action::Action(StopErrand);
template Action::Action(OpenFind);
template Action::Action(ChangeFind);
template Action::Action(CloseFind);
template Action::Action(StartGuide);
template Action::Action(StepGuide);
template Action::Action(EndGuide);

}  // namespace brookmark::viewer
