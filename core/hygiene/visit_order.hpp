// Why: in which order to go, once it is known what must come before what: the shortest way of those that are allowed.
// Few stops exactly, many by a search that is stated and measured. Knows nothing of waters or kit.
// Use: OrderProblem p(5); p.set_way(0, 1, 812); p.must_precede(0, 3);  VisitOrder order = shortest_order(p);
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <utility>
#include <vector>

namespace brookmark::core {

// Ways are the same there and back, in metres, 0 or more.
class OrderProblem {
 public:
  explicit OrderProblem(std::size_t stops) : stops_(stops), way_m_(stops * stops, 0.0), group_(stops, 0) {}

  std::size_t stops() const { return stops_; }
  double way_m(std::size_t a, std::size_t b) const { return way_m_[a * stops_ + b]; }
  void set_way(std::size_t a, std::size_t b, double metres) {
    way_m_[a * stops_ + b] = way_m_[b * stops_ + a] = metres;
  }
  // From where the day begins to each stop; with `and_back` the way home from the last one counts too.
  void set_start(std::vector<double> to_stop_m, bool and_back) {
    start_m_ = std::move(to_stop_m);
    and_back_ = and_back;
  }
  double first_m(std::size_t stop) const { return start_m_.empty() ? 0 : start_m_[stop]; }
  double last_m(std::size_t stop) const { return and_back_ && !start_m_.empty() ? start_m_[stop] : 0; }

  void must_precede(std::size_t first, std::size_t later) { pairs_.emplace_back(first, later); }
  std::span<const std::pair<std::size_t, std::size_t>> pairs() const { return pairs_; }
  // With whole groups, a group once begun is finished before another begins.
  void set_group(std::size_t stop, std::uint32_t group) { group_[stop] = group; }
  void keep_groups_whole() { whole_groups_ = true; }
  std::uint32_t group(std::size_t stop) const { return group_[stop]; }
  bool whole_groups() const { return whole_groups_; }

  // Of an order that holds each stop once.
  double length_m(std::span<const std::uint32_t> order) const;
  bool allows(std::span<const std::uint32_t> order) const;

 private:
  std::size_t stops_;
  std::vector<double> way_m_, start_m_;
  bool and_back_ = false, whole_groups_ = false;
  std::vector<std::pair<std::size_t, std::size_t>> pairs_;
  std::vector<std::uint32_t> group_;
};

struct VisitOrder {
  std::vector<std::uint32_t> stops;
  double length_m = 0;
  bool exact = true;  // else found by search
};

// Up to so many stops the order is exact.
inline constexpr std::size_t kExactStops = 12;

// The shortest allowed order. Nothing where the pairs (and whole groups) contradict each other.
std::optional<VisitOrder> shortest_order(const OrderProblem& problem);

// Exactly, by dynamic programming over sets of stops (Held & Karp 1962). At most 20 stops; time and memory grow
// with n^2 2^n. Throws Error(kBadUse) above that.
std::optional<VisitOrder> exact_order(const OrderProblem& problem);

struct OrderSearch {
  // Exchanges looked at in all, so that the time has an end whatever the number of stops and the answer is the same
  // on every machine.
  std::uint64_t exchanges = 100'000'000;
  std::uint64_t seed = 1;
};
// By iterated local search (Lourenco et al. 2003): neighbouring stretches of the order are exchanged (as for orders
// under precedence, Gambardella & Dorigo 2000) or one is turned round while that is allowed and shorter; then a few
// stretches are exchanged at random, and it begins again from the best so far.
std::optional<VisitOrder> searched_order(const OrderProblem& problem, const OrderSearch& search = {});

}  // namespace brookmark::core
