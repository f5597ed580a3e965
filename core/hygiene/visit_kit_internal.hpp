// Why: which set of kit and which vessels go into which water of a round, which of them have to be cleaned on the way,
// and what is lacking. Private to core/hygiene.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/hygiene/visit_plan.hpp"

namespace brookmark::core {

struct KitPlan {
  std::vector<double> cleaning_min;  // before each stop: contact time and handling
};

// What the survey knows of its kit on the morning of the round.
struct KitAtHand {
  std::vector<KitSet> sets;
  std::vector<VesselState> vessels;
};

class VisitKit {
 public:
  // All of them outlive this.
  VisitKit(const Snapshot& snapshot, const SurveyWaters& waters, const PlanRequest& request,
           const KitAtHand& at_hand);

  // Fewer clean sets than stops: some set serves two stops.
  bool is_shared() const { return ready_ < request_.sites.size(); }
  // Fewer sets than waters: a set must be cleaned between two waters, so a water is finished before that.
  bool needs_whole_waters() const { return served_ < waters_visited_.size(); }

  // Fills in kit_set, cleaning_before and vessels of the stops, in their order, and what is lacking.
  KitPlan assign(VisitPlan& plan);

 private:
  struct Set {
    KitSet kit;
    std::optional<BodyIndex> in;  // the water that it was taken into today
    bool cleaned_today = false;
  };
  bool is_finished(const VisitPlan& plan, std::size_t from, BodyIndex body) const;
  Set* set_for(const VisitPlan& plan, std::size_t at, bool& cleaned);
  // Of one water, and nothing keeps it from going there: neither its history nor a site further down.
  bool may_go_to(const KitSet& set, SiteIndex site) const;
  void assign_vessels(VisitPlan& plan);
  void tell_lack(const std::vector<std::size_t>& without, VisitPlan& plan) const;
  std::string cleaning_advice(const std::vector<BodyIndex>& from) const;

  const Snapshot& snapshot_;
  const SurveyWaters& waters_;
  const PlanRequest& request_;
  const KitAtHand& at_hand_;
  std::vector<Set> sets_;
  std::vector<BodyIndex> waters_visited_;
  std::size_t ready_ = 0;   // clean sets
  std::size_t served_ = 0;  // waters that can be entered without cleaning anything
};

}  // namespace brookmark::core
