#include "core/network/mend.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/network/channel_lines_internal.hpp"
#include "core/network/line_meetings_internal.hpp"
#include "core/network/mend_internal.hpp"

namespace brookmark::core {

std::vector<Reach> Mend::reaches() const {
  std::vector<Reach> all;
  all.reserve(lines.size());
  for (const MendLine& line : lines) all.push_back(line.reach);
  return all;
}

std::string Mend::label(std::size_t line) const {
  const MendLine& l = lines[line];
  if (l.stored) return l.reach.name.empty() ? "a stored reach" : "the stored reach " + l.reach.name;
  if (options.label) return options.label(ReachIndex(l.origin));
  return "reach " + std::to_string(l.origin + 1) + (l.reach.name.empty() ? "" : " (" + l.reach.name + ")");
}

void Mend::did(std::size_t line, ChannelFault fault, LonLat position, std::optional<double> distance_m,
               std::string text, std::string remedy) {
  saw(Severity::kNote, line, fault, position, distance_m, std::move(text));
  ChannelFinding& finding = findings.back();
  finding.remedy = std::move(remedy);
  finding.done = true;
  std::string& note = lines[line].note;
  note += (note.empty() ? "" : " ") + finding.text + " Mended: " + finding.remedy + ".";
}

void Mend::saw(Severity severity, std::size_t line, ChannelFault fault, LonLat position,
               std::optional<double> distance_m, std::string text) {
  ChannelFinding finding;
  finding.severity = severity;
  finding.fault = fault;
  if (!lines[line].stored) finding.reach = ReachIndex(lines[line].origin);
  finding.position = position;
  finding.distance_m = distance_m;
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
  finding.text = std::move(text);
  findings.push_back(std::move(finding));
}

namespace {

std::string metres(double m) {
  return format_fixed(m, 2) + " m";
}

void check_metres(double metres_given, const char* what) {
  if (!std::isfinite(metres_given) || metres_given < 0)
    throw Error(ErrorCode::kBadUse, std::string(what) + " must be a number of metres, zero or more.");
}

void remove_lines(Mend& mend, const std::vector<bool>& gone) {
  std::vector<MendLine> kept;
  for (std::size_t i = 0; i < mend.lines.size(); ++i)
    if (!gone[i]) kept.push_back(std::move(mend.lines[i]));
  mend.lines = std::move(kept);
}

// The lines at work as the network would see them; findings on points are told once, at the start.
std::vector<ChannelLine> cleaned(const std::vector<Reach>& reaches, const LocalFrame& frame) {
  ChannelFindings told_already;
  return clean_lines(reaches, frame, numbered_label(reaches), told_already);
}

void leave_out_empty(Mend& mend) {
  const std::vector<Reach> reaches = mend.reaches();
  ChannelFindings findings;
  clean_lines(
      reaches, frame_for(reaches), [&](ReachIndex r) { return mend.label(r.value()); }, findings);
  std::vector<bool> gone(mend.lines.size(), false);
  for (const ChannelFinding& f : findings) {
    const std::size_t line = f.reach.value();
    if (mend.lines[line].stored) continue;
    if (f.fault != ChannelFault::kNoLength) {
      mend.saw(f.severity, line, f.fault, f.position, f.distance_m, f.text);
      continue;
    }
    mend.did(line, f.fault, f.position, 0, "The line of " + mend.label(line) + " has no length.",
             "it is left out");
    gone[line] = true;
  }
  remove_lines(mend, gone);
}

// Lines drawn again go; the stored one stays, or else the earlier. Crossings become nodes where told so.
// True when something was changed.
bool settle_meetings(Mend& mend) {
  const std::vector<Reach> reaches = mend.reaches();
  const LocalFrame frame = frame_for(reaches);
  const std::vector<ChannelLine> lines = cleaned(reaches, frame);
  const std::vector<LineMeeting> meetings = line_meetings(lines, frame, mend.options.tolerance_m);
  std::vector<bool> gone(mend.lines.size(), false);
  for (const LineMeeting& m : meetings) {
    const std::size_t a = lines[m.a].reach.value(), b = lines[m.b].reach.value();
    if (!is_same_course(m, lines) || gone[a] || gone[b] || mend.lines[b].stored) continue;
    mend.did(b, ChannelFault::kDrawnTwice, m.position, m.shared_m,
             mend.label(b) + " has the course of " + mend.label(a) + ", " + metres(m.shared_m) +
                 " from end to end.",
             "it is left out, and the other is kept");
    gone[b] = true;
  }
  const auto wanted = [&](LonLat place) {
    bool is_wanted = mend.options.join_crossings;
    for (std::size_t i = 0; i < mend.options.crossings.size(); ++i) {
      if (geodesic_m(mend.options.crossings[i], place) > mend.options.tolerance_m) continue;
      is_wanted = mend.crossing_met[i] = true;
    }
    return is_wanted;
  };
  std::map<std::size_t, std::vector<std::pair<double, LonLat>>> cuts;  // of a line, along it
  for (const LineMeeting& m : meetings) {
    const std::size_t a = lines[m.a].reach.value(), b = lines[m.b].reach.value();
    if (m.shared_m > 0 || gone[a] || gone[b] || !wanted(m.position)) continue;
    const bool cut_b = !mend.lines[b].stored;
    if (!cut_b && mend.lines[a].stored) continue;
    const std::size_t cut = cut_b ? b : a;
    cuts[cut].emplace_back(cut_b ? m.along_b_m : m.along_a_m, m.position);
    mend.did(
        cut, ChannelFault::kCrossing, m.position, std::nullopt,
        mend.label(b) + " crosses " + mend.label(a) + " at " + place_words(m.position) + " without a node.",
        "it is cut there as told, so that both are joined");
  }
  if (cuts.empty() && std::none_of(gone.begin(), gone.end(), [](bool one) { return one; })) return false;
  std::vector<MendLine> pieces;
  for (const ChannelLine& line : lines) {
    const std::size_t l = line.reach.value();
    if (gone[l]) continue;
    std::vector<std::pair<double, LonLat>>& places = cuts[l];
    std::sort(places.begin(), places.end());
    MendLine rest = mend.lines[l];
    if (!places.empty()) rest.reach.line = line.points;
    double begun_m = 0;
    std::size_t point = 1;
    Line open{line.points.front()};
    for (const auto& [along_m, place] : places) {
      if (along_m - begun_m <= kSamePlaceM) continue;
      for (; point < line.points.size() && line.along_m[point] < along_m; ++point)
        open.push_back(line.points[point]);
      open.push_back(place);
      open.erase(std::unique(open.begin(), open.end()), open.end());
      MendLine piece = rest;
      piece.reach.line = open;
      pieces.push_back(std::move(piece));
      rest.reach.key.clear();
      open = {place};
      begun_m = along_m;
    }
    if (begun_m > 0) {
      for (; point < line.points.size(); ++point) open.push_back(line.points[point]);
      open.erase(std::unique(open.begin(), open.end()), open.end());
      rest.reach.line = open;
    }
    pieces.push_back(std::move(rest));
  }
  mend.lines = std::move(pieces);
  return true;
}

// An end or a split of a line that was brought together with others.
struct Member {
  std::uint32_t line;
  LonLat position;
  enum { kUpper, kLower, kInside } where;
};

// Leads ends on to where they meet others. True when something was moved.
bool lead_on(Mend& mend) {
  const std::vector<Reach> reaches = mend.reaches();
  const LocalFrame frame = frame_for(reaches);
  const std::vector<ChannelLine> lines = cleaned(reaches, frame);
  ChannelFindings joins;
  const JoinedLines joined = join_lines(lines, mend.options.tolerance_m, numbered_label(reaches), joins);
  std::vector<std::vector<Member>> nodes(joined.node_count);
  for (std::uint32_t l = 0; l < lines.size(); ++l) {
    const std::vector<LineCut>& cuts = joined.cuts[l];
    for (std::size_t c = 0; c < cuts.size(); ++c)
      nodes[cuts[c].node].push_back({l, place_on(lines[l], cuts[c].along_m),
                                     c == 0                 ? Member::kUpper
                                     : c + 1 == cuts.size() ? Member::kLower
                                                            : Member::kInside});
  }
  bool moved = false;
  for (const std::vector<Member>& members : nodes) {
    if (members.size() < 2) continue;
    // Where most of them are already; then where something is that cannot move; then the least far; then by place.
    const auto rank = [&](const Member& m) {
      int here = 0;
      double farthest_m = 0;
      for (const Member& other : members) {
        const double m_away = geodesic_m(m.position, other.position);
        here += m_away <= kSamePlaceM ? 1 : 0;
        farthest_m = std::max(farthest_m, m_away);
      }
      const bool fixed = m.where == Member::kInside || mend.lines[lines[m.line].reach.value()].stored;
      return std::tuple(!fixed, -here, farthest_m, m.position.lon, m.position.lat);
    };
    const Member& target = *std::min_element(
        members.begin(), members.end(), [&](const Member& a, const Member& b) { return rank(a) < rank(b); });
    for (const Member& m : members) {
      const double gap_m = geodesic_m(m.position, target.position);
      const std::size_t line = lines[m.line].reach.value();
      if (gap_m <= kSamePlaceM || gap_m > mend.options.tolerance_m || m.where == Member::kInside ||
          mend.lines[line].stored || m.line == target.line)
        continue;
      Line& points = mend.lines[line].reach.line;
      const std::string end = m.where == Member::kUpper ? "upstream" : "downstream";
      const std::size_t other = lines[target.line].reach.value();
      mend.did(line, target.where == Member::kInside ? ChannelFault::kShort : ChannelFault::kGap, m.position,
               gap_m,
               "The " + end + " end of " + mend.label(line) + " stops " + metres(gap_m) + " short of " +
                   (target.where == Member::kInside ? "" : "an end of ") + mend.label(other) + ".",
               "it is led on to " + place_words(target.position));
      if (m.where == Member::kUpper)
        points.insert(points.begin(), target.position);
      else
        points.push_back(target.position);
      moved = true;
    }
  }
  return moved;
}

bool remove_stubs(Mend& mend, const ChannelFindings& review) {
  std::vector<bool> gone(mend.lines.size(), false);
  for (const ChannelFinding& f : review) {
    if (f.fault != ChannelFault::kStub || mend.lines[f.reach.value()].stored) continue;
    gone[f.reach.value()] = true;
    mend.did(f.reach.value(), f.fault, f.position, f.distance_m, f.text, "it is removed as told");
  }
  if (std::none_of(gone.begin(), gone.end(), [](bool one) { return one; })) return false;
  remove_lines(mend, gone);
  return true;
}

ChannelFindings review_of(const Mend& mend) {
  const std::vector<Reach> reaches = mend.reaches();
  ChannelOptions options;
  options.join_tolerance_m = mend.options.tolerance_m;
  const ChannelNetwork network = build_channels(reaches, options);
  ChannelFindings findings = review_channels(
      reaches, network, [&](ReachIndex r) { return mend.label(r.value()); }, mend.options.stub_m);
  for (const ChannelFinding& f : network.joins())
    if (f.fault == ChannelFault::kWideNode) findings.push_back(f);
  return findings;
}

}  // namespace

std::size_t MendResult::done_count() const {
  return static_cast<std::size_t>(
      std::count_if(findings.begin(), findings.end(), [](const ChannelFinding& f) { return f.done; }));
}

MendResult mend_lines(std::span<const Reach> lines, std::span<const Reach> stored,
                      const MendOptions& options) {
  check_metres(options.tolerance_m, "The tolerance of mending");
  check_metres(options.stub_m, "The length of a short dead end");
  check_metres(options.least_climb_m, "The least climb of a line that is turned");
  if (options.flow_from == FlowFrom::kHeights && !options.height_at)
    throw Error(ErrorCode::kBadUse, "The flow cannot be told from heights without a terrain model.");
  Mend mend{options, {}, {}};
  mend.crossing_met.assign(options.crossings.size(), false);
  mend.lines.reserve(lines.size() + stored.size());
  // Stored ones first: of two lines with one course the earlier stays.
  for (const Reach& reach : stored) mend.lines.push_back({reach, 0, true, {}});
  for (std::uint32_t i = 0; i < lines.size(); ++i) mend.lines.push_back({lines[i], i, false, {}});

  leave_out_empty(mend);
  // A node that is wider than the tolerance is closed step by step, each step within it; and what is led on may
  // meet other lines.
  constexpr int kMostRounds = 8;
  for (int round = 0; round < kMostRounds; ++round) {
    bool changed = settle_meetings(mend);
    changed = lead_on(mend) || changed;
    if (options.remove_stubs) changed = remove_stubs(mend, review_of(mend)) || changed;
    if (!changed) break;
  }
  for (std::size_t i = 0; i < options.crossings.size(); ++i)
    if (!mend.crossing_met[i])
      throw Error(ErrorCode::kBadUse,
                  "There is no crossing of these lines within " + format_number(options.tolerance_m) +
                      " m of " + place_words(options.crossings[i]) +
                      ", where one was to be joined; the report of findings has their places.");
  if (options.flow_from == FlowFrom::kMajority) turn_by_majority(mend);
  if (options.flow_from == FlowFrom::kHeights) turn_by_heights(mend);
  for (ChannelFinding& f : review_of(mend)) {
    const bool about_stored = !f.reach.has_value() || mend.lines[f.reach.value()].stored;
    if (about_stored && f.fault != ChannelFault::kWideNode) continue;  // the survey's own check tells it
    f.reach = about_stored ? ReachIndex::none() : ReachIndex(mend.lines[f.reach.value()].origin);
    mend.findings.push_back(std::move(f));
  }
  MendResult result;
  for (MendLine& line : mend.lines) {
    if (line.stored) continue;
    result.reaches.push_back(std::move(line.reach));
    result.notes.push_back(std::move(line.note));
  }
  result.findings = std::move(mend.findings);
  return result;
}

}  // namespace brookmark::core
