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
void draw_upstream_card(const Ui& ui, const core::Upstream& up);

}  // namespace brookmark::viewer
