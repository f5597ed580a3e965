#include "viewer/state/guide.hpp"

namespace brookmark::viewer {
namespace {

constexpr GuideStep kSteps[] = {
    {"Welcome",
     "Brookmark keeps the samples of a small catchment in one file and says what the animals tell about the "
     "water. "
     "This look takes about two minutes. Skip it whenever you like; it stands under Help."},
    {"The map",
     "Every mark is a site. Its colour and the number in it are the class of its newest sample: 1 is the "
     "best. A hollow "
     "mark has no class, and says why. Drag to move, turn the wheel or use + and \u2212 to come nearer. Tap "
     "a site to "
     "open it.",
     GuidePart::kMap},
    {"By which method",
     "No class without a name: here stands the published method and the number behind the colours. Choose "
     "another and "
     "the whole map follows. Two methods are never mixed.",
     GuidePart::kTop},
    {"Through time",
     "The map speaks of one day: slide to another, or step from sampling day to sampling day. A site whose "
     "last sample "
     "is old fades.",
     GuidePart::kTime},
    {"The key", "Everything that is on the map is explained here, and can be shown or hidden.",
     GuidePart::kSide, Page::kKey},
    {"One site, and why",
     "Tap a site and its samples stand here. Open one and see which animals made the value, which did not "
     "count, and "
     "why.",
     GuidePart::kSide, Page::kSite},
    {"Along the water",
     "A straight line is not a river: distances to outfalls follow the channel, up or down, from any site or "
     "any place "
     "you tap.",
     GuidePart::kSide, Page::kDistance},
    {"All pages",
     "One tap to each page, and back to the map alone. Find, with Ctrl and F, looks for sites, animals, "
     "waters and commands.",
     GuidePart::kRail},
    {"What it does not say",
     "An index is evidence about ecology. It does not say that water is safe to drink or to bathe in. The "
     "cautions for "
     "work at the water stand behind this strip.",
     GuidePart::kCaution},
};

}  // namespace

std::span<const GuideStep> guide_steps() {
  return kSteps;
}

}  // namespace brookmark::viewer
