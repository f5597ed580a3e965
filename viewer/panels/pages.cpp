#include "viewer/panels/pages_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr PageEntry kPages[] = {
    {Page::kKey, "\u2630", "Key", "what stands on the map, and what is shown", draw_key_page},
    {Page::kSite, "\u25C9", "Site", "one site: its samples, class and reasons", draw_site_page},
    {Page::kDistance, "\u21DD", "Distance", "how far along the channel to which outfall", draw_distance_page},
    {Page::kParts, "\u25BC", "Poor", "sub-catchments and falls, worst first", draw_parts_page},
    {Page::kTable, "\u25A4", "Table", "all samples, sorted and filtered", draw_table_page, true},
    {Page::kSuggest, "\u25C8", "Where", "where to sample next, and why there", draw_suggest_page},
    {Page::kClean, "\u2693", "Clean", "kit, risks of waters, contacts, live samples held", draw_kit_page},
    {Page::kEdit, "\u270E", "Edit", "sites, outfalls and reaches; the list of edits", draw_edit_page},
    {Page::kSurvey, "\u2637", "Survey", "the file: import, hand over, open, new", draw_survey_page},
    {Page::kHelp, "?", "Help", "how to, what the marks say, when something is in the way", draw_help_page},
    {Page::kSettings, "\u2699", "Settings", "look, size, touch, positions", draw_settings_page},
};

}  // namespace

std::span<const PageEntry> pages() {
  return kPages;
}

const PageEntry& entry_of(Page page) {
  for (const PageEntry& entry : kPages)
    if (entry.page == page) return entry;
  return kPages[0];
}

}  // namespace brookmark::viewer
