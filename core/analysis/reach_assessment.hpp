// Why: a class belongs to a site; how far along the channel it may be carried, and where nothing is known, must be seen
// on the map and counted for a catchment, or a blank stretch reads as a good one.
// Use: ReachAssessment reaches = assess_reaches(snapshot, assessment, network);
//      add_channel_shares(assessment, reaches, inside);
//
// The rule (common practice, no source):
// * measured: from an assessed site up and down its channel to the next confluence, split or end, the next outfall in
//   use, half the way to the next assessed site, and at most kMeasuredReachM. A site on a confluence speaks for the
//   channel below it. A site's sample must not be older than kSpeaksForDays.
// * inferred: what lies between, where all assessed sites next above and next below along the flow are of one class,
//   and no outfall in use drains in anywhere between them, also by a tributary. A tributary without an outfall does
//   not hinder. A method without classes infers nothing, nor is anything inferred past a collapse, nor in or
//   next to a canal that flows either way.
// * unknown: all else.
#pragma once

#include <cstdint>
#include <vector>

#include "core/analysis/site_chain.hpp"
#include "core/scoring/assessment.hpp"

namespace brookmark::core {

// How far a sample speaks for its channel at most.
inline constexpr double kMeasuredReachM = 500;

enum class ReachKnowledge : std::uint8_t { kUnknown, kInferred, kMeasured };
const char* reach_knowledge_name(ReachKnowledge knowledge);  // "unknown", "inferred", "measured"

struct ReachPiece {
  EdgePart part;
  ReachKnowledge knowledge = ReachKnowledge::kUnknown;
  std::uint8_t class_rank = 0;  // 0: unknown, or a metric without classes
  SiteIndex site;               // of a measured piece; none() else
};

struct ReachAssessment {
  std::vector<ReachPiece> pieces;  // by edge, upstream first; together every edge from end to end
  double measured_m = 0, inferred_m = 0, unknown_m = 0;
};

ReachAssessment assess_reaches(const Snapshot& snapshot, const Assessment& assessment,
                               const ChannelNetwork& network);

// Fills CatchmentAssessment::channel.
void add_channel_shares(Assessment& assessment, const ReachAssessment& reaches,
                        const CatchmentChannels& inside);

}  // namespace brookmark::core
