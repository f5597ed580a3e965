// Why: an edit that replaces a row needs it whole, as it stands: the columns of a Snapshot put together again.
// Use: Site site = site_row(snapshot, i);  site.name = "Ford";  file.apply({"rename", "...", {Replace<Site>{site}}});
#pragma once

#include "core/survey/snapshot.hpp"

namespace brookmark::core {

Taxon taxon_row(const Snapshot& snapshot, TaxonIndex taxon);
Site site_row(const Snapshot& snapshot, SiteIndex site);
Visit visit_row(const Snapshot& snapshot, VisitIndex visit);
Sample sample_row(const Snapshot& snapshot, SampleIndex sample);
Record record_row(const Snapshot& snapshot, RecordIndex record);
Measurement measurement_row(const Snapshot& snapshot, std::size_t measurement);

}  // namespace brookmark::core
