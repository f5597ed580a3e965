#include "core/design/narrow.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "core/base/no_answer.hpp"
#include "core/base/text.hpp"
#include "core/network/channel_walk.hpp"

namespace brookmark::core {
namespace {

// The stretch as drawn: where each of its pieces begins.
struct Path {
  std::vector<EdgePart> parts;
  std::vector<double> start_m;
  double length_m = 0;

  explicit Path(const FlowStretch& stretch) : parts(stretch.parts) {
    for (const EdgePart& part : parts) {
      start_m.push_back(length_m);
      length_m += part.to_m - part.from_m;
    }
  }
  // Where on the stretch a place of the network lies; nothing beside it. On a two-way edge that is walked against its drawing
  // the place counts from the other side; parts do not tell that, and both ends are the same there for halving.
  std::optional<double> at_m(std::uint32_t edge, double along_m) const {
    for (std::size_t i = 0; i < parts.size(); ++i)
      if (parts[i].edge == edge && along_m > parts[i].from_m && along_m < parts[i].to_m)
        return start_m[i] + along_m - parts[i].from_m;
    return std::nullopt;
  }
};

struct NamedItem {
  SuspectItem item;
  std::string name;
  std::optional<std::uint32_t> side_edge;
};

// The tributary by which an outfall of the side comes in: the one to whose mouth its water has the shortest way.
std::optional<std::size_t> side_of(const ChannelNetwork& network, const ChannelPoint& outfall,
                                   std::span<const SideChannel> sides) {
  ChannelWalk walk(network);
  walk.start(outfall, Direction::kDownstream);
  std::optional<std::size_t> best;
  double best_m = kNoPath;
  for (std::size_t s = 0; s < sides.size(); ++s) {
    const double length_m = network.graph().edges()[sides[s].edge].length_m;
    const ChannelPoint foot{sides[s].edge, std::max(length_m - 0.02, length_m / 2), 0, {}};
    const auto m = walk.distance_m(foot);
    if (m && *m < best_m) best_m = *m, best = s;
  }
  return best;
}

std::vector<NamedItem> items_of(const DesignSource& source, const Drop& fall, const Path& path,
                                const NarrowOptions& narrow) {
  std::vector<NamedItem> items;
  for (const SideChannel& side : fall.stretch.enters) {
    const ReachIndex reach = source.network.edges()[side.edge].reach;
    const std::string& name = source.snapshot.reaches[reach.value()].name;
    items.push_back(
        {{std::clamp(path.length_m - side.distance_m, 0.0, path.length_m), narrow.tributary_m, true},
         name.empty() ? "reach " + std::to_string(reach.value() + 1) : name,
         side.edge});
  }
  const std::size_t sides = items.size();
  for (const StretchOutfall& outfall : fall.outfalls) {
    const Outfall& known = source.snapshot.outfalls[outfall.outfall.value()];
    if (outfall.from_side && sides > 0) {
      if (const auto point = source.network.snap(known.position)) {
        if (const auto side = side_of(source.network, *point, fall.stretch.enters)) {
          items[*side].item.weight_m += narrow.outfall_m;
          items[*side].name += " with " + known.code;
          continue;
        }
      }
    }
    items.push_back(
        {{std::clamp(path.length_m - outfall.distance_m, 0.0, path.length_m), narrow.outfall_m, false},
         known.code,
         std::nullopt});
  }
  std::stable_sort(items.begin(), items.end(),
                   [](const NamedItem& a, const NamedItem& b) { return a.item.at_m < b.item.at_m; });
  return items;
}

// A stretch with what is needed to go back from a place on it to a spot.
struct Work {
  SuspectStretch stretch;
  std::vector<NamedItem> items;
  std::map<double, std::uint32_t> spot_at;               // on the stretch
  std::vector<std::optional<std::uint32_t>> mouth_spot;  // per item
};

Work prepare(const DesignSource& source, const Drop& fall, const SpotFrame& found,
             const NarrowOptions& narrow) {
  const Path path(fall.stretch);
  Work work;
  work.items = items_of(source, fall, path, narrow);
  work.stretch.length_m = path.length_m;
  work.stretch.fine_m = narrow.fine_m;
  for (std::uint32_t i = 0; i < found.spots.size(); ++i) {
    const auto at_m = path.at_m(found.spots[i].edge, found.spots[i].along_m);
    if (at_m) work.spot_at.emplace(*at_m, i);
  }
  for (const auto& [at_m, spot] : work.spot_at) work.stretch.spots_m.push_back(at_m);
  for (NamedItem& named : work.items) {
    std::optional<std::uint32_t> mouth;
    // The lowest free spot of the tributary's last edge.
    if (named.side_edge)
      for (std::uint32_t i = 0; i < found.spots.size(); ++i)
        if (found.spots[i].edge == *named.side_edge) mouth = i;
    named.item.has_mouth = mouth.has_value();
    work.mouth_spot.push_back(mouth);
    work.stretch.items.push_back(named.item);
  }
  return work;
}

std::string part_words(const Work& work, const SuspectState& state) {
  std::vector<std::string> words;
  if (state.to_m - state.from_m >= 0.5)
    words.push_back(format_fixed(state.to_m - state.from_m, 0) + " m of channel");
  for (const std::size_t i : state.items) words.push_back(work.items[i].name);
  if (words.empty()) return "nothing";
  std::string last = words.back();
  words.pop_back();
  return words.empty() ? last : joined(words, ", ") + " and " + last;
}

std::string visits_words(std::size_t visits) {
  if (visits == 0) return "after that nothing is left to part";
  return "after that at worst " + std::to_string(visits) + (visits == 1 ? " more visit" : " more visits");
}

// Only the reaches between the two sites and those that join there.
std::vector<std::uint32_t> edges_about(const FlowStretch& stretch) {
  std::vector<std::uint32_t> edges;
  for (const EdgePart& part : stretch.parts) edges.push_back(part.edge);
  for (const SideChannel& side : stretch.enters) edges.push_back(side.edge);
  std::sort(edges.begin(), edges.end());
  edges.erase(std::unique(edges.begin(), edges.end()), edges.end());
  return edges;
}

// What may be to blame, as far as earlier spots have parted it, and by which answer at which of them.
struct SuspectPart {
  SuspectState state;
  std::optional<std::size_t> after;  // row of that spot
  bool was_bad = false;
};

// What a spot tells, and when it is needed; codes are known only once all are chosen.
struct CutWords {
  std::optional<std::size_t> after;
  bool was_bad = false;
  std::string mouth, if_bad, if_good, visits;

  std::string reason(const std::string& stretch, const std::vector<Suggestion>& list) const {
    const std::string when =
        after ? "only if it was " + std::string(was_bad ? "bad" : "good") + " at " + list[*after].code + ": "
              : "";
    if (!mouth.empty())
      return when + "at the mouth of " + mouth + ", which joins between " + stretch +
             ": if its water is bad, look up there; if it is good, left are " + if_good + "; " + visits;
    return when + "it parts what may lower the quality between " + stretch +
           ": if it is bad here already, left is what lies above, " + if_bad +
           "; if it is still good, what lies below, " + if_good + "; " + visits;
  }
};

}  // namespace

SuspectStretch suspects_of(const DesignSource& source, const Drop& fall, const SpotFrame& found,
                           const NarrowOptions& narrow) {
  return prepare(source, fall, found, narrow).stretch;
}

Suggestions suggest_narrow(const DesignSource& source, const DesignOptions& options, const FallToNarrow& task,
                           const NarrowOptions& narrow) {
  const Drop& fall = task.fall;
  for (const double m : {narrow.outfall_m, narrow.tributary_m, narrow.fine_m})
    if (!std::isfinite(m) || m < 0)
      throw Error(ErrorCode::kBadUse, "weights and distances must be numbers of metres, zero or more");
  if (options.count == 0) throw Error(ErrorCode::kBadUse, "ask for one spot at least");
  const std::string up(source.snapshot.sites.code[fall.up.value()]);
  const std::string down(source.snapshot.sites.code[fall.down.value()]);
  const LocalFrame frame(source.snapshot.centre().value_or(LonLat{}));
  const KeepOut keep_out(source.snapshot, options.keep_out, frame);
  const Clearance clearance(source.snapshot, source.network, source.day, narrow.clear);
  SpotOptions along = options.spots;
  along.on = SpotOn::kChannels;
  along.edges = edges_about(fall.stretch);
  SpotArea area = options.area;
  if (!area.catchment.has_value() && !area.centre) area.words = "the reaches between " + up + " and " + down;
  const SpotFrame found =
      find_spots(source.snapshot, source.network, area, along, keep_out, frame, &clearance);
  const Work work = prepare(source, fall, found, narrow);

  Suggestions suggestions;
  suggestions.spots = work.stretch.spots_m.size();
  suggestions.left_out = found.left_out;
  std::vector<SuspectPart> parts{{everything(work.stretch), std::nullopt, false}};
  if (is_single(work.stretch, parts[0].state))
    throw AnswerIsNo("between " + up + " and " + down + " lies " + part_words(work, parts[0].state) +
                     " and nothing else: there is nothing left to tell apart" +
                     (task.evidence.empty() ? "" : "; " + task.evidence));
  std::vector<CutWords> words;
  while (suggestions.list.size() < options.count) {
    // The heaviest part that can still be cut.
    std::optional<std::size_t> heaviest;
    std::optional<SuspectCut> cut;
    for (std::size_t p = 0; p < parts.size(); ++p) {
      if (is_single(work.stretch, parts[p].state)) continue;
      if (heaviest &&
          weight_of(work.stretch, parts[p].state) <= weight_of(work.stretch, parts[*heaviest].state))
        continue;
      if (auto one = best_cut(work.stretch, parts[p].state)) {
        heaviest = p;
        cut = std::move(one);
      }
    }
    if (!cut) break;
    const std::size_t after =
        std::max(visits_at_worst(work.stretch, cut->if_bad), visits_at_worst(work.stretch, cut->if_good));
    const SuspectPart from = parts[*heaviest];
    words.push_back({from.after, from.was_bad, cut->mouth ? work.items[*cut->mouth].name : "",
                     part_words(work, cut->if_bad), part_words(work, cut->if_good), visits_words(after)});
    Suggestion one;
    one.purpose = Purpose::kNarrow;
    one.spot = found.spots[cut->mouth ? *work.mouth_spot[*cut->mouth] : work.spot_at.at(cut->spot_m)];
    const std::size_t row = suggestions.list.size();
    suggestions.list.push_back(std::move(one));
    parts[*heaviest] = {cut->if_bad, row, true};
    parts.push_back({cut->if_good, row, false});
  }
  if (suggestions.list.empty())
    throw AnswerIsNo("no free spot between " + up + " and " + down + " parts what may be to blame" +
                     (found.left_out.total() > 0 ? ": " + found.left_out.words() : ""));
  std::size_t left = 0;
  for (const SuspectPart& part : parts) left = std::max(left, visits_at_worst(work.stretch, part.state));
  suggestions.visits_left = left;
  if (suggestions.list.size() < options.count)
    suggestions.notes.push_back("only " + std::to_string(suggestions.list.size()) + " of the " +
                                std::to_string(options.count) +
                                " spots asked for tell anything more apart between " + up + " and " + down);
  if (!task.evidence.empty()) suggestions.notes.push_back(task.evidence);
  if (std::string shared = steps_words(source.snapshot, task); !shared.empty())
    suggestions.notes.push_back(std::move(shared));
  if (std::string unsaid = unsaid_mixing(source.snapshot, source.day, narrow.clear); !unsaid.empty())
    suggestions.notes.push_back(std::move(unsaid));
  add_facts(suggestions, source);
  for (std::size_t i = 0; i < words.size(); ++i) {
    Suggestion& one = suggestions.list[i];
    one.reason = words[i].reason(up + " and " + down, suggestions.list);
    append_note(one.reason, one.caution);
  }
  return suggestions;
}

}  // namespace brookmark::core
