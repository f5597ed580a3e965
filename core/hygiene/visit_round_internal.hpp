// Why: one order of some of the stops of a round, with its kit and its times; made again and again where not all of them end before
// sunset. Private to core/hygiene.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "core/hygiene/visit_kit_internal.hpp"

namespace brookmark::core {

class VisitRound {
 public:
  // All of them outlive this. `plan`: with its light.
  VisitRound(const Snapshot& snapshot, const SurveyWaters& waters, const PlanRequest& request,
             const KitAtHand& at_hand, const VisitPlan& light);

  struct Made {
    VisitPlan plan;  // stops with kit, vessels and times; what is lacking; without words on light and ground
    std::vector<std::uint32_t> order;  // indices into request.sites
    bool shared = false;               // kit is
    std::vector<double> cleaning_min;  // before each stop
    double work_end_min() const { return plan.stops.empty() ? 0 : plan.stops.back().leave_min; }
  };
  // Of the stops given (indices into request.sites), in the best order.
  Made best(std::span<const std::uint32_t> stops) const;
  // In the order given, which must be an allowed one.
  Made in_order(std::span<const std::uint32_t> order) const;

  // Of all stops as few as can be left out so that all work ends by `limit_min` (see visit_plan.hpp); nothing where not even one
  // stop can be kept.
  std::optional<Made> by(double limit_min, const Made& all) const;
  // Its two ways: by trying every choice; and by a local search from two beginnings, all stops without one after the other that saves
  // most, and one after the other that costs least. One more is taken in while one fits, else one is exchanged for one that is left
  // where that ends earlier; then the order is made anew.
  std::optional<Made> by_every_choice(double limit_min, std::size_t stops) const;
  std::optional<Made> by_search(double limit_min, const Made& all) const;

 private:
  // A bound of the search, so that it ends.
  static constexpr int kSteps = 200;
  OrderProblem problem(std::span<const std::uint32_t> stops, bool shared, bool whole_waters) const;
  PlanRequest request_for(std::span<const std::uint32_t> stops) const;
  Made made(const PlanRequest& request, VisitKit& kit, std::span<const std::uint32_t> order,
            bool exact) const;
  // By how much the work ends earlier without the stop at this place of the order, if kit is shared out as it is.
  double saved_min(const Made& made, std::size_t at) const;
  // Until the rest ends in time, or one is left.
  Made one_by_one(double limit_min, const Made& all) const;
  // By how much the way grows with the stop at that place of the order; and how long it takes at least, at the best place, without what
  // has to be cleaned.
  double longer_m(std::span<const std::uint32_t> order, std::uint32_t stop, std::size_t at) const;
  double least_more_min(std::span<const std::uint32_t> order, std::uint32_t stop) const;
  // The order with one stop more where it lengthens the way least; empty where no place for it is allowed.
  std::vector<std::uint32_t> with(std::span<const std::uint32_t> order, std::uint32_t stop) const;
  static bool is_better(const Made& a, const Made& b);  // more stops, then earlier done
  std::vector<std::uint32_t> left_out(const Made& made) const;
  std::optional<Made> one_more(double limit_min, const Made& now) const;
  // One for another, so that it ends earliest; nothing where none makes it earlier.
  std::optional<Made> exchanged(const Made& now) const;
  Made improved(double limit_min, Made now) const;
  double way_m(std::size_t a, std::size_t b) const { return way_m_[a * request_.sites.size() + b]; }
  double first_m(std::size_t stop) const { return start_m_.empty() ? 0 : start_m_[stop]; }

  const Snapshot& snapshot_;
  const SurveyWaters& waters_;
  const PlanRequest& request_;
  const KitAtHand& at_hand_;
  const VisitPlan& light_;
  std::vector<double> way_m_, start_m_;                    // between the sites; from the start to each
  std::vector<int> rank_;                                  // of the water of each site
  std::vector<bool> above_place_;                          // of its own water's risk
  std::vector<std::pair<std::size_t, std::size_t>> flow_;  // the first lies above the second
};

}  // namespace brookmark::core
