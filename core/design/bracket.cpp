#include "core/design/bracket.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include "core/analysis/outfalls.hpp"
#include "core/analysis/reach_runs_internal.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/network/channel_lines_internal.hpp"
#include "core/network/stream_order.hpp"

namespace brookmark::core {
namespace {

std::string metres(double m) {
  return format_fixed(m, 0) + " m";
}

// Something on a run: a free spot, a site or an outfall.
struct OnRun {
  std::uint32_t run = 0;
  double at_m = 0;
  std::uint32_t index = 0;
  bool operator<(const OnRun& o) const { return run < o.run || (run == o.run && at_m < o.at_m); }
};

class Runs {
 public:
  explicit Runs(const ChannelNetwork& network)
      : network_(network), runs_(network), figures_(stream_figures(network.graph())) {}

  std::vector<OnRun> standing(const ChannelPoint& point, std::uint32_t index) const {
    marks_.clear();
    runs_.mark(point, index, marks_);
    std::vector<OnRun> found;
    for (const RunMark& mark : marks_) found.push_back({mark.run, mark.at_m, index});
    return found;
  }
  double length_m(std::uint32_t run) const { return runs_.length_m(run); }
  // Whether waters meet or part at the upper (lower) end; a spring or a mouth is none.
  bool joined_above(std::uint32_t run) const { return !network_.graph().edges_in(head(run)).empty(); }
  bool joined_below(std::uint32_t run) const { return !network_.graph().edges_out(foot(run)).empty(); }
  // The run of most channel upstream among those that come in at the head.
  std::optional<std::uint32_t> main_above(std::uint32_t run) const {
    std::optional<std::uint32_t> best;
    for (const std::uint32_t e : network_.graph().edges_in(head(run)))
      if (!best || figures_.upstream_m[e] > figures_.upstream_m[*best]) best = e;
    if (!best) return std::nullopt;
    const double middle_m = network_.graph().edges()[*best].length_m / 2;
    return standing({*best, middle_m, 0, {}}, 0).front().run;
  }

 private:
  std::uint32_t head(std::uint32_t run) const {
    return network_.graph().edges()[runs_.parts(run, 0, runs_.length_m(run)).front().edge].from;
  }
  std::uint32_t foot(std::uint32_t run) const {
    return network_.graph().edges()[runs_.parts(run, 0, runs_.length_m(run)).back().edge].to;
  }

  const ChannelNetwork& network_;
  ReachRuns runs_;
  StreamFigures figures_;
  mutable std::vector<RunMark> marks_;
};

// Part of a run in which a spot may stand; empty where from_m > to_m.
struct Window {
  std::uint32_t run = 0;
  double from_m = 0, to_m = 0;
};

class Bracketing {
 public:
  Bracketing(const DesignSource& source, const DesignOptions& options, const BracketOptions& bracket,
             const SpotFrame& found, Suggestions& into)
      : source_(source),
        options_(options),
        bracket_(bracket),
        mixing_m_(*bracket.clear.mixing_m),
        found_(found),
        into_(into),
        runs_(source.network) {
    for (std::uint32_t i = 0; i < found.spots.size(); ++i) {
      const Spot& s = found.spots[i];
      add(spots_, {s.edge, s.along_m, 0, s.position}, i);
    }
    const SiteColumns& sites = source.snapshot.sites;
    for (std::uint32_t i = 0; i < sites.size(); ++i) {
      if (!is_placed(sites.position[i]) || sites.status[i] == SiteStatus::kRetired) continue;
      if (const auto point =
              source.network.snap(sites.position[i], snap_limit_m(sites.kind[i], source.network.options())))
        add(is_only_proposed(source.snapshot, SiteIndex(i)) ? proposed_ : sites_, *point, i);
    }
    for (std::uint32_t i = 0; i < source.snapshot.outfalls.size(); ++i)
      if (in_use(source.snapshot.outfalls[i], source.day))
        if (const auto point = source.network.snap(source.snapshot.outfalls[i].position))
          add(outfalls_, *point, i);
    for (auto* list : {&spots_, &sites_, &proposed_, &outfalls_})
      std::stable_sort(list->begin(), list->end());
  }

  void bracket(std::uint32_t outfall) {
    const std::string& code = source_.snapshot.outfalls[outfall].code;
    const auto at =
        std::find_if(outfalls_.begin(), outfalls_.end(), [&](const OnRun& o) { return o.index == outfall; });
    if (const Outfall& one = source_.snapshot.outfalls[outfall]; !in_use(one, source_.day)) {
      note(code + " is not in use on " + format_date(source_.day) + " (" + days_of_use(one) +
           "), so nothing is suggested around it; ask for another day if it should be");
      return;
    }
    if (at == outfalls_.end()) {
      note(code + " lies on no channel, so nothing is above or below it");
      return;
    }
    control(*at, code);
    below(*at, code);
  }

 private:
  void add(std::vector<OnRun>& list, const ChannelPoint& point, std::uint32_t index) {
    for (const OnRun& one : runs_.standing(point, index)) list.push_back(one);
  }
  void note(std::string text) { into_.notes.push_back(std::move(text)); }

  // The nearest other outfall at or above (below) a place on its run.
  std::optional<OnRun> next_outfall(const OnRun& of, double at_m, bool up) const {
    std::optional<OnRun> found;
    for (const OnRun& o : outfalls_) {
      if (o.run != of.run || o.index == of.index) continue;
      if (up && o.at_m <= at_m) found = o;
      if (!up && o.at_m > at_m) return o;
    }
    return found;
  }

  const OnRun* within(const std::vector<OnRun>& list, const Window& window, bool from_below) const {
    const OnRun* found = nullptr;
    for (const OnRun& one : list) {
      if (one.run != window.run || one.at_m < window.from_m - kSamePlaceM ||
          one.at_m > window.to_m + kSamePlaceM)
        continue;
      found = &one;
      if (!from_below) return found;
    }
    return found;
  }

  // True when a site or a spot was found in the window.
  bool take(const Window& window, bool from_below, const std::string& as, const std::string& code,
            const std::function<std::string(double)>& reason) {
    if (window.from_m > window.to_m) return false;
    if (const OnRun* site = within(sites_, window, from_below)) {
      note("site " + std::string(source_.snapshot.sites.code[site->index]) + " stands where a " + as + " " +
           code + " should: nothing is suggested there");
      taken_at_m_ = site->at_m;
      return true;
    }
    if (const OnRun* planned = within(proposed_, window, from_below)) {
      note(std::string(source_.snapshot.sites.code[planned->index]) +
           ", proposed and not sampled yet, stands where a " + as + " " + code +
           " should: nothing more is suggested there");
      taken_at_m_ = planned->at_m;
      return true;
    }
    const OnRun* spot = within(spots_, window, from_below);
    if (spot == nullptr) return false;
    taken_at_m_ = spot->at_m;
    if (into_.list.size() >= options_.count) {
      ++left_over_;
      return true;
    }
    Suggestion one;
    one.purpose = Purpose::kBracket;
    one.spot = found_.spots[spot->index];
    one.reason = reason(spot->at_m);
    into_.list.push_back(std::move(one));
    return true;
  }

  void control(const OnRun& outfall, const std::string& code) {
    Window window{outfall.run, runs_.joined_above(outfall.run) ? bracket_.clear.clear_m : 0,
                  outfall.at_m - bracket_.clear.clear_m};
    const auto above = next_outfall(outfall, outfall.at_m, true);
    if (above) window.from_m = std::max(window.from_m, above->at_m + mixing_m_);
    const bool found = take(window, true, "control above", code, [&](double at_m) {
      return "control " + metres(outfall.at_m - at_m) + " above " + code + ", with no other outfall between" +
             (above ? " and " + metres(at_m - above->at_m) + " below " +
                          source_.snapshot.outfalls[above->index].code
                    : "");
    });
    if (found) return;
    if (above) {
      note("no control above " + code + ": " + source_.snapshot.outfalls[above->index].code + " enters " +
           metres(outfall.at_m - above->at_m) +
           " above it, which leaves no room beyond its mixing distance of " + metres(mixing_m_));
      return;
    }
    const auto main = runs_.main_above(outfall.run);
    if (main && *main != outfall.run) {
      Window over{*main, runs_.joined_above(*main) ? bracket_.clear.clear_m : 0,
                  runs_.length_m(*main) - bracket_.clear.clear_m};
      for (const OnRun& o : outfalls_)
        if (o.run == *main) over.from_m = std::max(over.from_m, o.at_m + mixing_m_);
      if (take(over, true, "control above", code, [&](double at_m) {
            return "control " + metres(outfall.at_m + runs_.length_m(*main) - at_m) + " above " + code +
                   ", above the confluence at " + metres(outfall.at_m) +
                   ": the water that joins there is not in it";
          }))
        return;
    }
    note("no control above " + code + ": no free spot lies " + metres(bracket_.clear.clear_m) + " above it" +
         (runs_.joined_above(outfall.run) ? " and clear of the confluence"
                                          : " and below the head of the channel"));
  }

  void below(const OnRun& outfall, const std::string& code) {
    const auto next = next_outfall(outfall, outfall.at_m, false);
    const double end_m = runs_.joined_below(outfall.run)
                             ? runs_.length_m(outfall.run) - bracket_.clear.clear_m
                             : runs_.length_m(outfall.run);
    double from_m = outfall.at_m + mixing_m_;
    for (std::size_t i = 0; i < bracket_.below; ++i) {
      const Window window{outfall.run, from_m,
                          next ? std::min(end_m, next->at_m - bracket_.clear.clear_m) : end_m};
      const bool found = take(window, false, "spot below", code, [&](double at_m) {
        return metres(at_m - outfall.at_m) + " below " + code + ", beyond the mixing distance of " +
               metres(mixing_m_) + " that was set" + (i > 0 ? ", to see how far it reaches" : "");
      });
      if (found) {
        from_m = taken_at_m_ + std::max(mixing_m_, found_.spacing_m);
        continue;
      }
      note(
          "no " + std::string(i == 0 ? "" : "farther ") + "spot below " + code +
          ": beyond the mixing distance of " + metres(mixing_m_) + " no free spot is left before " +
          (next && next->at_m < end_m ? source_.snapshot.outfalls[next->index].code + ", " +
                                            metres(next->at_m - outfall.at_m) + " below"
           : runs_.joined_below(outfall.run)
               ? "the next confluence, " + metres(runs_.length_m(outfall.run) - outfall.at_m) + " below"
               : "the end of the channel, " + metres(runs_.length_m(outfall.run) - outfall.at_m) + " below"));
      return;
    }
  }

  const DesignSource& source_;
  const DesignOptions& options_;
  const BracketOptions& bracket_;
  double mixing_m_;
  const SpotFrame& found_;
  Suggestions& into_;
  Runs runs_;
  std::vector<OnRun> spots_, sites_, proposed_, outfalls_;
  double taken_at_m_ = 0;

 public:
  std::size_t left_over_ = 0;
};

}  // namespace

Suggestions suggest_bracket(const DesignSource& source, const DesignOptions& options,
                            const BracketOptions& bracket) {
  if (!bracket.clear.mixing_m)
    throw Error(
        ErrorCode::kBadUse,
        "say how far below an outfall its water has mixed in: it depends on width, depth and flow, and "
        "no single published distance exists");
  check_clear(bracket.clear);
  std::vector<std::uint32_t> wanted;
  for (const OutfallIndex o : bracket.outfalls) wanted.push_back(static_cast<std::uint32_t>(o.value()));
  if (bracket.outfalls.empty())
    for (std::uint32_t i = 0; i < source.snapshot.outfalls.size(); ++i)
      if (in_use(source.snapshot.outfalls[i], source.day)) wanted.push_back(i);
  if (wanted.empty())
    throw Error(ErrorCode::kNotFound,
                source.snapshot.outfalls.empty()
                    ? "the survey has no outfalls to bracket; bring them in with `brookmark import "
                      "SURVEY outfalls FILE`"
                    : "no outfall is in use on " + format_date(source.day));
  if (options.count == 0) throw Error(ErrorCode::kBadUse, "ask for one spot at least");
  DesignOptions along = options;
  along.spots.on = SpotOn::kChannels;
  const LocalFrame frame(source.snapshot.centre().value_or(LonLat{}));
  const KeepOut keep_out(source.snapshot, options.keep_out, frame);
  const SpotFrame found =
      find_spots(source.snapshot, source.network, along.area, along.spots, keep_out, frame);
  Suggestions suggestions;
  suggestions.spots = found.spots.size();
  suggestions.left_out = found.left_out;
  Bracketing work(source, along, bracket, found, suggestions);
  for (const std::uint32_t outfall : wanted) work.bracket(outfall);
  if (work.left_over_ > 0)
    suggestions.notes.push_back(std::to_string(work.left_over_) + " more are needed than the " +
                                std::to_string(options.count) + " asked for");
  add_facts(suggestions, source);
  return suggestions;
}

}  // namespace brookmark::core
