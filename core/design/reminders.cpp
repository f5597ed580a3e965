#include "core/design/reminders.hpp"

#include <algorithm>

#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"

namespace brookmark::core {

std::vector<std::string> warning_lines(std::span<const Suggestion> list) {
  std::vector<std::string> lines;
  std::size_t more = 0;
  for (const Suggestion& one : list) {
    if (one.caution.empty()) continue;
    if (lines.size() < kMostCautions)
      lines.push_back(one.code + ": " + plain_sentence(one.caution));
    else
      ++more;
  }
  if (more > 0)
    lines.push_back("and " + std::to_string(more) +
                    (more == 1 ? " more spot has such a word" : " more spots have such a word") +
                    " in the reason: read it before going there");

  struct Below {
    const Suggestion* nearest;
    const Suggestion* farthest;
    std::size_t count = 0;
  };
  std::vector<Below> outfalls;  // by their first spot
  for (const Suggestion& one : list) {
    if (!one.sewage_above) continue;
    const auto known = std::find_if(outfalls.begin(), outfalls.end(), [&](const Below& below) {
      return below.nearest->sewage_above->code == one.sewage_above->code;
    });
    if (known == outfalls.end()) {
      outfalls.push_back({&one, &one, 1});
      continue;
    }
    ++known->count;
    if (one.sewage_above->distance_m < known->nearest->sewage_above->distance_m) known->nearest = &one;
    if (one.sewage_above->distance_m > known->farthest->sewage_above->distance_m) known->farthest = &one;
  }
  const auto distance = [](const Suggestion& one) { return plain_distance(one.sewage_above->distance_m); };
  for (const Below& below : outfalls) {
    const std::string& outfall = below.nearest->sewage_above->code;
    lines.push_back(
        (below.count == 1
             ? below.nearest->code + ": " + outfall + " lets in sewage " + distance(*below.nearest) + " above"
             : outfall + " lets in sewage above " + std::to_string(below.count) + " of these spots, " +
                   distance(*below.nearest) + " (" + below.nearest->code + ") to " +
                   distance(*below.farthest) + " (" + below.farthest->code + ") up") +
        kSewageWords);
  }
  return lines;
}

}  // namespace brookmark::core
