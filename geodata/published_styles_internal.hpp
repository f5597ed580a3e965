// Why: a desktop GIS that opens a layer of the server looks into public.layer_styles for how to draw it; without that a partner
// sees points of one random colour.
// Use: layers.push_back(publish_styles(server, "brookmark", source, tables, utc, Touch::kWrite));
#pragma once

#include <string>
#include <vector>

#include "geodata/export_tables_internal.hpp"
#include "geodata/postgres_session_internal.hpp"
#include "geodata/publish.hpp"
#include "geodata/published_table_internal.hpp"

namespace brookmark::geodata {

// A row a drawn layer of `tables`, named "LAYER (Brookmark)"; a row that says the same is not written again, rows of other names
// are left alone, and where somebody chose another one as the default, that stays. Where this user may not write there, or the
// table is of another form, nothing is done and `note` says why.
PublishedLayer publish_styles(PostgresSession& server, const std::string& schema, const ExportSource& source,
                              const std::vector<ExportTable>& tables, const std::string& utc, Touch touch);

}  // namespace brookmark::geodata
