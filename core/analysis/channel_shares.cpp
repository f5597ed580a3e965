#include <algorithm>
#include <array>

#include "core/analysis/reach_assessment.hpp"

namespace brookmark::core {
namespace {

ChannelShares shares_of(const Assessment& assessment, const ReachAssessment& reaches,
                        const std::vector<EdgePart>& inside) {
  ChannelShares shares;
  std::array<double, 256> of_class_m{};
  double weighted = 0;
  auto piece = reaches.pieces.begin();
  for (const EdgePart& part : inside) {
    // Both stand in the order of edges, upstream first.
    piece =
        std::lower_bound(piece, reaches.pieces.end(), part, [](const ReachPiece& p, const EdgePart& wanted) {
          return p.part.edge < wanted.edge || (p.part.edge == wanted.edge && p.part.to_m <= wanted.from_m);
        });
    for (auto p = piece; p != reaches.pieces.end() && p->part.edge == part.edge && p->part.from_m < part.to_m;
         ++p) {
      const double length_m = std::min(p->part.to_m, part.to_m) - std::max(p->part.from_m, part.from_m);
      switch (p->knowledge) {
        case ReachKnowledge::kMeasured:
          shares.measured_m += length_m;
          weighted += length_m * assessment.sites[p->site.value()].value;
          break;
        case ReachKnowledge::kInferred:
          shares.inferred_m += length_m;
          break;
        case ReachKnowledge::kUnknown:
          shares.unknown_m += length_m;
          break;
      }
      if (p->knowledge != ReachKnowledge::kUnknown) of_class_m[p->class_rank] += length_m;
    }
  }
  if (assessment.metric_info().bands.empty()) {
    if (shares.measured_m > 0) shares.mean_value = weighted / shares.measured_m;
    return shares;
  }
  double worse_m = 0;
  for (std::size_t rank = of_class_m.size(); rank-- > 1;) {
    worse_m += of_class_m[rank];
    if (worse_m <= 0 || 2 * worse_m < shares.measured_m + shares.inferred_m) continue;
    shares.middle_rank = static_cast<std::uint8_t>(rank);
    break;
  }
  return shares;
}

}  // namespace

void add_channel_shares(Assessment& assessment, const ReachAssessment& reaches,
                        const CatchmentChannels& inside) {
  for (std::size_t c = 0; c < assessment.catchments.size() && c < inside.inside.size(); ++c)
    assessment.catchments[c].channel = shares_of(assessment, reaches, inside.inside[c]);
}

}  // namespace brookmark::core
