// Why: the parts of a site's page beside its samples; each draws into the flow of the page.
#pragma once

#include "viewer/panels/panels_internal.hpp"

namespace brookmark::viewer {

// The bar of class probabilities of a sample of the site, its interval, and what both rest on.
void draw_confidence(const Ui& ui, core::SiteIndex site, core::SampleIndex sample);
// Charts and trend.
void draw_site_through_time(const Ui& ui, core::SiteIndex site);
// Neighbours, outfalls, what lies upstream.
void draw_site_around(const Ui& ui, core::SiteIndex site);
// The file of the first photo of a site; empty where there is none.
std::string first_photo(const Ui& ui, core::SiteIndex site);
// It, at most so wide and high; a tap opens the view with all of them.
void draw_small_photo(const Ui& ui, const std::string& file, float side);
// A line of a list: the mark, the name and how far; a tap opens the site.
void draw_site_line(const Ui& ui, core::SiteIndex site, const char* sign, double distance_m);
// The page of an outfall: what it is, since when, the sites up and down the channel, the falls it lies in.
void draw_outfall_page(const Ui& ui, core::OutfallIndex outfall);
// What can be done with a survey that has no sites, or no samples, yet; nothing where it has both.
void draw_first_steps(const Ui& ui);
void draw_upstream_card(const Ui& ui, const core::Upstream& up);

}  // namespace brookmark::viewer
