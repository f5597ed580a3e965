#include <algorithm>
#include <cmath>
#include <numeric>

#include "core/base/random.hpp"
#include "core/hygiene/visit_order.hpp"

namespace brookmark::core {

namespace {

constexpr double kGain_m = 1e-6;  // a shorter way is shorter by more than this

class Search {
 public:
  Search(const OrderProblem& problem, const OrderSearch& search)
      : problem_(problem),
        n_(problem.stops()),
        left_(search.exchanges),
        longest_(std::max<std::size_t>(
            3, static_cast<std::size_t>(
                   std::sqrt(200'000.0 / static_cast<double>(std::max<std::size_t>(n_, 1)))))),
        random_(search.seed, stream_of("order of visits")),
        must_(n_ * n_, 0) {
    for (const auto& [first, later] : problem.pairs()) must_[first * n_ + later] = 1;
    // A before B and B before C: A before C (Warshall).
    for (std::size_t b = 0; b < n_; ++b)
      for (std::size_t a = 0; a < n_; ++a)
        if (must_[a * n_ + b] != 0)
          for (std::size_t c = 0; c < n_; ++c) must_[a * n_ + c] |= must_[b * n_ + c];
  }

  std::optional<VisitOrder> run() {
    if (n_ == 0) return VisitOrder{};
    if (!begin()) return std::nullopt;
    place_.assign(n_, 0);
    open_.assign(n_, 0);
    changed(0, n_);
    for (std::size_t at = n_; at-- > 0;) touch(at);
    improve();
    std::vector<std::uint32_t> best = order_;
    double best_m = problem_.length_m(best);
    double here_m = best_m;
    std::vector<std::uint32_t> here = best;
    while (left_ > 0 && n_ > 3) {
      kick();
      improve();
      const double now_m = problem_.length_m(order_);
      // A little longer is taken now and then, so that it does not stay where it is.
      if (now_m < here_m + kGain_m || (now_m < best_m * 1.01 && random_.below(10) == 0)) {
        here = order_;
        here_m = now_m;
      } else {
        go_to(here);
      }
      if (now_m < best_m - kGain_m) {
        best = order_;
        best_m = now_m;
      } else if (random_.below(200) == 0) {
        go_to(best);
        here = best;
        here_m = best_m;
      }
    }
    return VisitOrder{best, best_m, false};
  }

 private:
  void go_to(const std::vector<std::uint32_t>& order) {
    order_ = order;
    changed(0, n_);
  }

  // The nearest stop that is allowed next, from the start on. Within a group first where groups stay whole.
  bool begin() {
    std::vector<bool> taken(n_, false);
    while (order_.size() < n_) {
      std::size_t next = n_;
      bool next_stays = false;
      for (std::size_t s = 0; s < n_; ++s) {
        if (taken[s] || !is_free(s, taken)) continue;
        const bool stays =
            !problem_.whole_groups() || order_.empty() || problem_.group(s) == problem_.group(order_.back());
        if (next < n_ && (next_stays > stays || (next_stays == stays && way_to(s) >= way_to(next)))) continue;
        next = s;
        next_stays = stays;
      }
      if (next == n_) return false;
      taken[next] = true;
      order_.push_back(static_cast<std::uint32_t>(next));
    }
    return problem_.allows(order_);
  }

  // Whether all that must come before it is taken; with whole groups, of its whole group.
  bool is_free(std::size_t stop, const std::vector<bool>& taken) const {
    for (std::size_t a = 0; a < n_; ++a) {
      if (taken[a]) continue;
      if (must_[a * n_ + stop] != 0) return false;
      if (!problem_.whole_groups() || problem_.group(a) == problem_.group(stop)) continue;
      for (std::size_t s = 0; s < n_; ++s)
        if (problem_.group(s) == problem_.group(stop) && must_[a * n_ + s] != 0) return false;
    }
    return true;
  }

  double way_to(std::size_t stop) const {
    return order_.empty() ? problem_.first_m(stop) : problem_.way_m(order_.back(), stop);
  }
  // The way between neighbours of the order; before the first stop and behind the last.
  double link(std::size_t before, std::size_t after) const {
    if (before == kEdge) return after == kEdge ? 0 : problem_.first_m(order_[after]);
    if (after == kEdge) return problem_.last_m(order_[before]);
    return problem_.way_m(order_[before], order_[after]);
  }
  static constexpr std::size_t kEdge = static_cast<std::size_t>(-1);
  std::size_t behind(std::size_t at) const { return at + 1 < n_ ? at + 1 : kEdge; }

  // Groups stay whole where all of it lies within one, or only whole ones are moved.
  bool is_border(std::size_t at) const {
    return at == 0 || at == n_ || problem_.group(order_[at - 1]) != problem_.group(order_[at]);
  }
  bool keeps_groups(std::size_t i, std::size_t j, std::size_t k) const {
    if (!problem_.whole_groups()) return true;
    return problem_.group(order_[i]) == problem_.group(order_[k - 1]) ||
           (is_border(i) && is_border(j) && is_border(k));
  }
  // The stretches [i, j) and [j, k) change places.
  bool may_exchange(std::size_t i, std::size_t j, std::size_t k) {
    if (!keeps_groups(i, j, k)) return false;
    spend((j - i) * (k - j) / 4);
    for (std::size_t a = i; a < j; ++a)
      for (std::size_t b = j; b < k; ++b)
        if (must_[order_[a] * n_ + order_[b]] != 0) return false;
    return true;
  }
  bool may_turn(std::size_t i, std::size_t k) {
    if (!keeps_groups(i, i, k)) return false;
    spend((k - i) * (k - i) / 8);
    for (std::size_t a = i; a < k; ++a)
      for (std::size_t b = a + 1; b < k; ++b)
        if (must_[order_[a] * n_ + order_[b]] != 0) return false;
    return true;
  }
  void spend(std::uint64_t looks) { left_ -= std::min(left_, looks); }

  void exchange(std::size_t i, std::size_t j, std::size_t k) {
    std::rotate(order_.begin() + static_cast<std::ptrdiff_t>(i),
                order_.begin() + static_cast<std::ptrdiff_t>(j),
                order_.begin() + static_cast<std::ptrdiff_t>(k));
    changed(i, k);
    touch(i);
    touch(i + (k - j));
    touch(k);
  }
  void turn(std::size_t i, std::size_t k) {
    std::reverse(order_.begin() + static_cast<std::ptrdiff_t>(i),
                 order_.begin() + static_cast<std::ptrdiff_t>(k));
    changed(i, k);
    touch(i);
    touch(k);
  }
  void changed(std::size_t from, std::size_t to) {
    for (std::size_t at = from; at < to; ++at) place_[order_[at]] = at;
  }
  // The way into what stands there is new: what can be gained with it is looked at (again).
  void touch(std::size_t at) {
    if (at >= n_ || open_[order_[at]] != 0) return;
    open_[order_[at]] = 1;
    queue_.push_back(order_[at]);
  }

  // Until no exchange and no turn at a new way makes it shorter, or none may be looked at any more.
  void improve() {
    while (!queue_.empty()) {
      const std::uint32_t stop = queue_.back();
      queue_.pop_back();
      open_[stop] = 0;
      while (left_ > 0 && (exchange_at(place_[stop]) || turn_at(place_[stop]))) {
      }
    }
  }

  bool try_exchange(std::size_t i, std::size_t j, std::size_t k) {
    const std::size_t before = i == 0 ? kEdge : i - 1, end = k < n_ ? k : kEdge;
    const double gain = link(before, i) + link(j - 1, j) + link(k - 1, end) - link(before, j) -
                        link(k - 1, i) - link(j - 1, end);
    if (gain <= kGain_m || !may_exchange(i, j, k)) return false;
    exchange(i, j, k);
    return true;
  }
  bool try_turn(std::size_t i, std::size_t k) {
    const std::size_t before = i == 0 ? kEdge : i - 1, end = k < n_ ? k : kEdge;
    const double gain = link(before, i) + link(k - 1, end) - link(before, k - 1) - link(i, end);
    if (gain <= kGain_m || !may_turn(i, k)) return false;
    turn(i, k);
    return true;
  }
  // With the way into the stop at `p` cut: as the first, the middle and the last of three cuts.
  bool exchange_at(std::size_t p) {
    const std::size_t from = p > longest_ ? p - longest_ : 0;
    for (std::size_t j = p + 1; j < std::min(n_, p + longest_); ++j) {
      const std::size_t most = std::min(n_, j + longest_);
      spend(most - j);
      for (std::size_t k = j + 1; k <= most; ++k)
        if (try_exchange(p, j, k)) return true;
    }
    for (std::size_t i = from; i < p; ++i) {
      const std::size_t most = std::min(n_, p + longest_);
      spend(most - i);
      for (std::size_t k = p + 1; k <= most; ++k)
        if (try_exchange(i, p, k)) return true;
      for (std::size_t j = i + 1; j < p; ++j)
        if (try_exchange(i, j, p)) return true;
    }
    return false;
  }
  bool turn_at(std::size_t p) {
    const std::size_t from = p > longest_ ? p - longest_ : 0, most = std::min(n_, p + longest_);
    spend(most - from);
    for (std::size_t k = p + 2; k <= most; ++k)
      if (try_turn(p, k)) return true;
    for (std::size_t i = from; i + 1 < p; ++i)
      if (try_turn(i, p)) return true;
    return false;
  }

  // One or two allowed exchanges of short stretches, wherever.
  void kick() {
    const std::size_t times = 1 + random_.below(2);
    for (std::size_t done = 0, tries = 0; done < times && tries < 50; ++tries) {
      const std::size_t reach = std::min<std::size_t>(n_, 3 + random_.below(8));
      const std::size_t i = random_.below(n_ - 1);
      const std::size_t k = std::min(n_, i + 2 + random_.below(reach));
      if (k - i < 2) continue;
      const std::size_t j = i + 1 + random_.below(k - i - 1);
      spend(10);
      if (!may_exchange(i, j, k)) continue;
      exchange(i, j, k);
      ++done;
    }
  }

  const OrderProblem& problem_;
  std::size_t n_;
  std::uint64_t left_;
  std::size_t longest_;  // stretch that is looked at
  Random random_;
  std::vector<std::uint8_t> must_;  // [a * n + b]: a before b, led on
  std::vector<std::uint32_t> order_, queue_;
  std::vector<std::size_t> place_;  // of each stop in the order
  std::vector<std::uint8_t> open_;  // whether it stands in the queue
};

}  // namespace

std::optional<VisitOrder> searched_order(const OrderProblem& problem, const OrderSearch& search) {
  return Search(problem, search).run();
}

}  // namespace brookmark::core
