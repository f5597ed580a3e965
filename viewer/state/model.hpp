// Why: what the window reads: the session, its places in the plane, and scores that are worked out once a
// method and kept.
// Use: Model model(open_session(path));  const core::Assessment* a = model.assessment(choice, date);
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "core/analysis/drops.hpp"
#include "core/analysis/reach_assessment.hpp"
#include "core/scoring/assessment.hpp"
#include "core/scoring/score.hpp"
#include "core/scoring/still_water.hpp"
#include "core/taxa/checklist.hpp"
#include "viewer/session.hpp"
#include "viewer/state/answers.hpp"
#include "viewer/state/point_grid.hpp"
#include "viewer/state/state.hpp"

namespace brookmark::viewer {

class GoingClean;

class Model {
 public:
  // `own`: methods of the surveyor's own, offered before the shipped ones.
  explicit Model(Session session, std::vector<std::shared_ptr<const core::Method>> own = {});

  // The same survey after an edit, or another one: everything worked out is forgotten, the methods stay. The plane stays
  // too while the survey's places lie where they lay, so that places in it hold.
  void reread(Session session);
  // Counts the readings: whatever was made from an older one is out of date.
  std::uint64_t revision() const { return revision_; }

  const Session& session() const { return session_; }
  const core::Snapshot& snapshot() const { return session_.snapshot; }
  const core::LocalFrame& frame() const { return frame_; }
  // What can be chosen; the first is shown when the window opens.
  std::span<const core::Method* const> methods() const { return methods_; }

  // Not finite for a site without a position, which stands in no grid and on no map.
  std::span<const core::PlanePoint> site_places() const { return site_places_; }
  std::span<const core::SiteIndex> unplaced_sites() const { return unplaced_; }
  std::span<const core::PlanePoint> outfall_places() const { return outfall_places_; }
  // What a map without places shows: where the survey's system is meant to be used, else all of the Earth that the plane
  // holds.
  PlaneBox opening_box() const;
  bool has_area() const { return area_.has_value(); }  // whether it is the system's
  const PointGrid& site_grid() const { return site_grid_; }
  const PointGrid& outfall_grid() const { return outfall_grid_; }
  // Around everything the survey has a place for; nothing for a survey without places.
  const std::optional<PlaneBox>& bounds() const { return bounds_; }
  // Days with at least one sample that is not a blank, oldest first, each once.
  std::span<const core::Date> sampling_dates() const { return dates_; }
  std::size_t samples_on(core::Date date) const;                              // blanks left out
  std::span<const std::size_t> samples_a_day() const { return samples_on_; }  // beside sampling_dates()

  // Worked out at the first call for a method, then kept. The method must exist.
  const core::ScoreTable& scores(std::size_t method) const;
  // The checklist that knows how often this survey names each taxon; for proposals.
  const core::Checklist& names() const;
  // Nothing only when the program has no such method. Without a period: all samples. Kept until the next other
  // question.
  const core::Assessment* assessment(const Choice& choice, const std::optional<core::Period>& period) const;
  // Of a sample of a still water; kept until another is asked for.
  const core::StillReading& still_reading(core::SampleIndex sample) const;
  // What is known of the channels, and where the index falls: worked out at the first call, kept until the next
  // other question. Nothing as above, in a survey without watercourses, and with many sites until it is worked out
  // (Answers::kManySites).
  const core::ReachAssessment* reaches(const Choice& choice, const std::optional<core::Period>& period) const;
  const std::vector<core::Drop>* drops(const Choice& choice, const std::optional<core::Period>& period) const;
  // Kit, risks and contacts as of a day: viewer/state/going_clean.hpp. Kept until another day is asked for.
  const GoingClean& going_clean(core::Date day) const;

  // What the pages tell beside the map.
  const Answers& answers() const;

 private:
  void take_places();
  void take_dates();
  struct Asked {
    Choice choice;
    std::optional<core::Period> period;
    bool operator==(const Asked&) const = default;
  };
  Session session_;
  std::vector<std::shared_ptr<const core::Method>> own_;  // held for methods_
  std::vector<const core::Method*> methods_;
  core::LocalFrame frame_;
  std::uint64_t revision_ = 1;
  std::vector<core::PlanePoint> site_places_, outfall_places_;
  std::vector<core::SiteIndex> unplaced_;
  PointGrid site_grid_, outfall_grid_;
  std::optional<PlaneBox> bounds_;
  std::optional<core::BoundingBox> area_;  // of use of the survey's system; only while there are no places
  std::vector<core::Date> dates_;
  std::vector<std::size_t> samples_on_;  // beside dates_
  mutable std::vector<std::unique_ptr<core::ScoreTable>> tables_;
  mutable std::optional<core::Checklist> names_;
  mutable std::optional<Asked> asked_;
  mutable core::Assessment assessment_;
  mutable std::optional<core::StillWaterReader> still_reader_;
  mutable core::StillReading still_reading_;
  mutable std::shared_ptr<const GoingClean> going_clean_;
  mutable std::shared_ptr<const Carried> carried_;  // handed out last
  mutable std::unique_ptr<Answers> answers_;        // last: it reads all of the above, also on its threads
};

}  // namespace brookmark::viewer
