#include "core/design/gap.hpp"

#include <algorithm>
#include <cmath>
#include <queue>

#include "core/analysis/outfalls.hpp"
#include "core/analysis/reach_runs_internal.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::core {
namespace {

constexpr double kNoDoubtM = 1;  // less than a metre of doubt is none

// A spot of channel, whether or not one may stand there.
struct Doubtful {
  std::uint32_t run = 0;
  double at_m = 0;
  double length_m = 0, doubt = 0;  // doubt: of each metre, 0..1
  ReachKnowledge knowledge = ReachKnowledge::kUnknown;
  std::uint32_t spot = 0;
  CatchmentIndex catchment;
  bool is_free = false;
};

class Gaps {
 public:
  Gaps(const DesignSource& source, const Assessment& assessment, const ReachAssessment& reaches,
       const SpotFrame& all, const SpotFrame& open)
      : source_(source), runs_(source.network), all_(all) {
    doubts_.reserve(all.spots.size());
    std::size_t next_free = 0, piece = 0;
    std::vector<RunMark> marks;
    const auto inside = catchments_of_spots();
    for (std::uint32_t i = 0; i < all.spots.size(); ++i) {
      const Spot& spot = all.spots[i];
      marks.clear();
      runs_.mark({spot.edge, spot.along_m, 0, spot.position}, i, marks);
      Doubtful one;
      one.run = marks.front().run;
      one.at_m = marks.front().at_m;
      one.length_m = spot.length_m;
      one.spot = i;
      one.catchment = inside[i];
      while (next_free < open.spots.size() && before(open.spots[next_free], spot)) ++next_free;
      one.is_free = next_free < open.spots.size() && open.spots[next_free].edge == spot.edge &&
                    open.spots[next_free].along_m == spot.along_m;
      while (piece + 1 < reaches.pieces.size() && ends_before(reaches.pieces[piece].part, spot)) ++piece;
      if (!reaches.pieces.empty()) {
        one.knowledge = reaches.pieces[piece].knowledge;
        one.doubt = doubt_of(reaches.pieces[piece], assessment);
      }
      doubts_.push_back(one);
    }
    std::sort(doubts_.begin(), doubts_.end(), [](const Doubtful& a, const Doubtful& b) {
      return a.run < b.run || (a.run == b.run && a.at_m < b.at_m);
    });
    for (const Outfall& outfall : source.snapshot.outfalls)
      if (in_use(outfall, source.day))
        if (const auto point = source.network.snap(outfall.position)) runs_.mark(*point, 0, outfalls_);
    std::sort(outfalls_.begin(), outfalls_.end(), [](const RunMark& a, const RunMark& b) {
      return a.run < b.run || (a.run == b.run && a.at_m < b.at_m);
    });
    weigh_catchments();
  }

  void choose(std::size_t count, Suggestions& into) {
    struct Bid {
      double gain_m;
      std::uint32_t at;
      bool operator<(const Bid& o) const { return gain_m < o.gain_m || (gain_m == o.gain_m && at > o.at); }
    };
    std::priority_queue<Bid> bids;
    for (std::uint32_t i = 0; i < doubts_.size(); ++i)
      if (doubts_[i].is_free)
        if (const double gain_m = gain(i); gain_m > kNoDoubtM) bids.push({gain_m, i});
    // What a spot would take away only shrinks while others are chosen: a bid that is still the best when reckoned anew is.
    while (into.list.size() < count && !bids.empty()) {
      const Bid bid = bids.top();
      bids.pop();
      const double now_m = gain(bid.at);
      if (now_m <= kNoDoubtM) continue;
      if (!bids.empty() && now_m < bids.top().gain_m) {
        bids.push({now_m, bid.at});
        continue;
      }
      into.list.push_back(suggestion(bid.at));
      each_spoken_for(bid.at, [&](std::uint32_t i, double share) { doubts_[i].doubt *= 1 - share; });
      weigh_catchments();
    }
  }

  double doubt_m() const {
    double sum = 0;
    for (const Doubtful& d : doubts_) sum += d.doubt * d.length_m;
    return sum;
  }

 private:
  static bool before(const Spot& a, const Spot& b) {
    return a.edge < b.edge || (a.edge == b.edge && a.along_m < b.along_m);
  }
  static bool ends_before(const EdgePart& part, const Spot& spot) {
    return part.edge < spot.edge || (part.edge == spot.edge && part.to_m < spot.along_m);
  }

  static double doubt_of(const ReachPiece& piece, const Assessment& assessment) {
    if (piece.knowledge == ReachKnowledge::kUnknown) return 1;
    if (piece.knowledge == ReachKnowledge::kInferred) return kInferredDoubt;
    const std::size_t site = piece.site.value();
    if (site >= assessment.confidence.size() || piece.class_rank == 0) return 0;
    const std::vector<double>& chances = assessment.confidence[site].class_probability;
    return piece.class_rank <= chances.size() ? 1 - chances[piece.class_rank - 1] : 0;
  }

  // The smallest catchment in which each spot lies.
  std::vector<CatchmentIndex> catchments_of_spots() const {
    std::vector<CatchmentIndex> found(all_.spots.size());
    const CatchmentChannels inside = channels_in_catchments(source_.snapshot, source_.network);
    for (std::size_t c = 0; c < inside.inside.size(); ++c) {
      for (const EdgePart& part : inside.inside[c]) {
        auto spot = std::lower_bound(all_.spots.begin(), all_.spots.end(), part,
                                     [](const Spot& s, const EdgePart& p) {
                                       return s.edge < p.edge || (s.edge == p.edge && s.along_m < p.from_m);
                                     });
        for (; spot != all_.spots.end() && spot->edge == part.edge && spot->along_m <= part.to_m; ++spot) {
          CatchmentIndex& held = found[static_cast<std::size_t>(spot - all_.spots.begin())];
          if (!held.has_value() || source_.nesting.area_m2[c] < source_.nesting.area_m2[held.value()])
            held = CatchmentIndex(c);
        }
      }
    }
    return found;
  }

  void weigh_catchments() {
    const std::size_t count = source_.snapshot.catchments.size();
    std::vector<double> doubt_m(count, 0), length_m(count, 0);
    for (const Doubtful& d : doubts_) {
      if (!d.catchment.has_value()) continue;
      doubt_m[d.catchment.value()] += d.doubt * d.length_m;
      length_m[d.catchment.value()] += d.length_m;
    }
    share_.assign(count, 1);
    for (std::size_t c = 0; c < count; ++c)
      if (length_m[c] > 0) share_[c] = doubt_m[c] / length_m[c];
  }
  double share_of(CatchmentIndex catchment) const {
    return catchment.has_value() ? share_[catchment.value()] : 1;
  }

  // Calls visit(i, share) for every stretch of which a spot would speak for a share.
  template <class Visit>
  void each_spoken_for(std::uint32_t of, const Visit& visit) const {
    const Doubtful& d = doubts_[of];
    double from_m = d.at_m - kMeasuredReachM, to_m = d.at_m + kMeasuredReachM;
    const auto mark =
        std::lower_bound(outfalls_.begin(), outfalls_.end(), d, [](const RunMark& m, const Doubtful& x) {
          return m.run < x.run || (m.run == x.run && m.at_m < x.at_m);
        });
    if (mark != outfalls_.end() && mark->run == d.run) to_m = std::min(to_m, mark->at_m);
    if (mark != outfalls_.begin() && (mark - 1)->run == d.run) from_m = std::max(from_m, (mark - 1)->at_m);
    const auto share = [&](const Doubtful& x) {
      const double low_m = std::max(from_m, x.at_m - x.length_m / 2);
      const double high_m = std::min(to_m, x.at_m + x.length_m / 2);
      return std::clamp((high_m - low_m) / x.length_m, 0.0, 1.0);
    };
    visit(of, share(d));
    for (std::uint32_t i = of; i-- > 0 && doubts_[i].run == d.run && share(doubts_[i]) > 0;)
      visit(i, share(doubts_[i]));
    for (std::uint32_t i = of + 1; i < doubts_.size() && doubts_[i].run == d.run && share(doubts_[i]) > 0;
         ++i)
      visit(i, share(doubts_[i]));
  }
  double gain(std::uint32_t of) const {
    double sum_m = 0;
    each_spoken_for(of, [&](std::uint32_t i, double share) {
      const Doubtful& x = doubts_[i];
      sum_m += share * x.doubt * x.length_m * share_of(x.catchment);
    });
    return std::round(sum_m * 1000) / 1000;  // to the millimetre, so that of equals the upper one is taken
  }

  Suggestion suggestion(std::uint32_t at) const {
    const Doubtful& d = doubts_[at];
    Suggestion one;
    one.purpose = Purpose::kGap;
    one.spot = all_.spots[d.spot];
    double unknown_m = 0, inferred_m = 0, unsure_m = 0;
    each_spoken_for(at, [&](std::uint32_t i, double share) {
      const Doubtful& x = doubts_[i];
      if (x.doubt <= 0) return;
      (x.knowledge == ReachKnowledge::kUnknown    ? unknown_m
       : x.knowledge == ReachKnowledge::kInferred ? inferred_m
                                                  : unsure_m) += share * x.length_m;
    });
    std::vector<std::string> words;
    const auto say = [&](double m, const char* what) {
      if (m >= 0.5) words.push_back(format_fixed(m, 0) + " m " + what);
    };
    say(unknown_m, "of which nothing is known");
    say(inferred_m, "only inferred between neighbours");
    say(unsure_m, "of an unsure class");
    one.reason = "it would speak for " + joined(words, ", ") + stale_words(d);
    if (d.catchment.has_value()) {
      const Catchment& c = source_.snapshot.catchments[d.catchment.value()];
      one.reason += "; of the channel in " + (c.code.empty() ? c.name : c.code) + " " +
                    format_fixed(100 * share_of(d.catchment), 0) + " % is in doubt";
    }
    return one;
  }

  // A site on the stretch whose newest sample is too old.
  std::string stale_words(const Doubtful& d) const {
    const SiteColumns& sites = source_.snapshot.sites;
    std::vector<RunMark> marks;
    std::string words;
    Date newest{INT32_MIN};
    for (std::size_t s = 0; s < sites.size(); ++s) {
      const auto [begin, end] = source_.snapshot.samples_of(SiteIndex(s));
      if (begin == end || !is_placed(sites.position[s])) continue;
      const Date last = source_.snapshot.samples.date[end.value() - 1];
      if (source_.day.days - last.days <= kSpeaksForDays || !(newest < last)) continue;
      const auto point =
          source_.network.snap(sites.position[s], snap_limit_m(sites.kind[s], source_.network.options()));
      if (!point) continue;
      marks.clear();
      runs_.mark(*point, 0, marks);
      for (const RunMark& mark : marks) {
        if (mark.run != d.run || std::abs(mark.at_m - d.at_m) > kMeasuredReachM) continue;
        newest = last;
        words = ", last sampled on " + format_date(last) + " at " + std::string(sites.code[s]);
      }
    }
    return words;
  }

  const DesignSource& source_;
  ReachRuns runs_;
  const SpotFrame& all_;
  std::vector<Doubtful> doubts_;
  std::vector<RunMark> outfalls_;
  std::vector<double> share_;
};

}  // namespace

Suggestions suggest_gap(const DesignSource& source, const DesignOptions& options,
                        const Assessment& assessment, const ReachAssessment& reaches,
                        const ClearOptions& clear) {
  if (options.count == 0) throw Error(ErrorCode::kBadUse, "ask for one spot at least");
  if (assessment.method != nullptr && assessment.method->flow == Flow::kStill)
    throw Error(ErrorCode::kBadUse,
                "the method " + assessment.method->id +
                    " is for still waters and says nothing of channels, where gaps are looked for; "
                    "choose a method for running water");
  const LocalFrame frame(source.snapshot.centre().value_or(LonLat{}));
  const KeepOut keep_out(source.snapshot, options.keep_out, frame);
  SpotOptions channels = options.spots;
  channels.on = SpotOn::kChannels;
  const Clearance clearance(source.snapshot, source.network, source.day, clear);
  const SpotFrame open =
      find_spots(source.snapshot, source.network, options.area, channels, keep_out, frame, &clearance);
  const Snapshot no_ground;
  const KeepOut nothing(no_ground, {}, frame);
  const SpotFrame all = find_spots(source.snapshot, source.network, options.area, channels, nothing, frame);
  Suggestions suggestions;
  suggestions.spots = open.spots.size();
  suggestions.left_out = open.left_out;
  Gaps gaps(source, assessment, reaches, all, open);
  const double before_m = gaps.doubt_m();
  gaps.choose(options.count, suggestions);
  const auto km = [](double m) { return format_fixed(m / 1000, 1) + " km"; };
  suggestions.notes.push_back("of " + km(before_m) + " of channel in doubt " + km(gaps.doubt_m()) +
                              " would be left after these");
  if (suggestions.list.size() < options.count)
    suggestions.notes.push_back("only " + std::to_string(suggestions.list.size()) + " of the " +
                                std::to_string(options.count) +
                                " spots asked for would take away any doubt that is left");
  if (std::string words = unsaid_mixing(source.snapshot, source.day, clear); !words.empty())
    suggestions.notes.push_back(std::move(words));
  add_facts(suggestions, source);
  return suggestions;
}

}  // namespace brookmark::core
