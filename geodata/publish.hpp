// Why: a region's surveys live in an engine made for many readers and for questions across surveys. Each survey writes the same
// layers there as into a GeoPackage, and only what changed since the last time.
// Use: const auto handed = core::prepare_hand_over(snapshot, method, metric, rules);
//      publish_survey(source_of(*handed), "PG:host=box dbname=region user=ann", {});  // or preview_publishing
//
// What stands there:
// * A schema of its own with one table a layer, and the table "survey" with a row a survey. Made where it is missing; a column
//   that a newer program knows is added. A table that was not made by publishing is never touched.
// * Beside the layer's columns: fid (row number, stays), survey_uuid, row_key (the UUID of the row; of worked-out layers what
//   makes a row of them, as sample/method/metric) and published_utc (when this row was last written).
// * A row is added or changed by (survey_uuid, row_key); one that says what it said before is not written again. A row that the
//   survey no longer hands over is removed, not marked: what is withheld from now on must not stay readable. Rows of other
//   surveys are never touched. Changes made on the server to a published row are overwritten; rows added there without a
//   survey_uuid of ours stay.
// * Of layers that are not chosen no row is added, but those that stand there say no more than would be handed over now: rows
//   of theirs that are handed over no longer are removed, and those that say something else are brought level.
// * How a desktop GIS draws the layers stands in public.layer_styles, where it looks for it: rows named "LAYER (Brookmark)" of
//   the schema's own layers, and of no others. Where this user may not write there, the rest is published all the same.
// * One method and one metric for all surveys of a schema: classes of two side by side on one map would be taken for one.
// * All of it is one transaction: readers see the survey as it was or as it is.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "geodata/export.hpp"

namespace brookmark::geodata {

struct PublishOptions {
  std::string schema = "brookmark";    // small letters, digits and _, at most 63; made where it is missing
  std::vector<std::string> only = {};  // layers, by name; empty: all. Others get no new rows.
  std::string crs = "EPSG:4326";       // of the coordinates; the same for all surveys of a schema
  std::string licence = {};            // as ExportOptions::licence
  std::string clock_utc = {};          // as ExportOptions::clock_utc
  bool may_shorten = false;  // the rules' days and seasons may take visits away that stand on the server
  // Told before each layer, with the share of the layers that are done (0 to 1); false ends it, with nothing stored.
  std::function<bool(const std::string& layer, double done)> progress = {};
};

struct PublishedLayer {
  std::string layer;
  std::int64_t added = 0, changed = 0, removed = 0, unchanged = 0;  // rows
  std::string note = {};                                            // why it was left as it is
};

// How many rows of each layer would be sent, the survey's own among them. Asks no server. Throws as chosen layers do.
std::vector<std::pair<std::string, std::int64_t>> rows_that_leave(const ExportSource& source,
                                                                  const std::vector<std::string>& only);

struct PublishPreview {
  std::vector<PublishedLayer> layers;  // with the numbers of rows that would be touched
  std::string refused;                 // why publishing would be refused as things stand; empty: it would not
};

// `database` is "PG:" and the words of PostgreSQL's client library. Throws Error, after which nothing is stored unless the
// sentence says otherwise: kBadUse (words, schema, layer, system not made for where the survey lies or not that of the schema, a
// table of somebody else's in the way, a survey by another method there, visits that would be taken away unasked, stopped by
// progress), kBadInput (unknown coordinate system), kNotFound (no server, or it
// lets nobody in), kReadOnly (no right to write), kStorage (the server went away or refused). No message holds a password.
std::vector<PublishedLayer> publish_survey(const ExportSource& source, const std::string& database,
                                           const PublishOptions& options);

// What publish_survey would do now. The rows go to tables that only this connection sees, and from then on its transaction
// may only read; it is taken back at the end. Throws as publish_survey does, but for what `refused` says.
PublishPreview preview_publishing(const ExportSource& source, const std::string& database,
                                  const PublishOptions& options);

}  // namespace brookmark::geodata
