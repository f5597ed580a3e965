#include "geodata/publish.hpp"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <ogr_spatialref.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <memory>
#include <optional>

#include "core/base/text.hpp"
#include "geodata/export_frame_internal.hpp"
#include "geodata/export_tables_internal.hpp"
#include "geodata/export_writers_internal.hpp"
#include "geodata/ogr_rows_internal.hpp"
#include "geodata/output_file.hpp"
#include "geodata/postgres_session_internal.hpp"
#include "geodata/published_styles_internal.hpp"
#include "geodata/published_table_internal.hpp"
#include "geodata/vector_input.hpp"

namespace brookmark::geodata {

namespace {

// Rows go to the server as one stream a table.
class CopyStream {
 public:
  CopyStream() { CPLSetThreadLocalConfigOption("PG_USE_COPY", "YES"); }
  ~CopyStream() { CPLSetThreadLocalConfigOption("PG_USE_COPY", nullptr); }
  CopyStream(const CopyStream&) = delete;
  CopyStream& operator=(const CopyStream&) = delete;
};

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

void check_schema(const std::string& schema) {
  const bool good = !schema.empty() && schema.size() <= 63 && !is_digit(schema.front()) &&
                    std::all_of(schema.begin(), schema.end(),
                                [](char c) { return (c >= 'a' && c <= 'z') || is_digit(c) || c == '_'; }) &&
                    !schema.starts_with("pg_") && schema != "information_schema";
  if (!good)
    throw Error(ErrorCode::kBadUse,
                "\"" + schema +
                    "\" cannot be the name of a schema: small letters, digits and _, at most "
                    "63, not beginning with a digit or pg_");
}

class Publisher {
 public:
  Publisher(const PostgresWords& words, const ExportFrame& frame, const PublishOptions& options,
            const std::string& survey, const std::string& utc, Touch touch)
      : words_(words),
        frame_(frame),
        schema_(options.schema),
        survey_(survey),
        utc_(utc),
        touch_(touch),
        server_(words) {
    if (server_.number(
            "WITH a AS (SELECT 1 FROM pg_extension WHERE extname = 'postgis') SELECT count(*) FROM a") == 0)
      throw Error(
          ErrorCode::kStorage,
          "the database has no PostGIS, which places and shapes need; ask whoever runs it to say CREATE "
          "EXTENSION postgis",
          words.shown);
    if (touch_ == Touch::kLook) return;
    // One at a time in a schema: who comes second waits for half a minute.
    server_.run("SET LOCAL lock_timeout = '30s'");
    server_.run("WITH a AS (SELECT pg_advisory_xact_lock(hashtext(" + sql_text("brookmark " + schema_) +
                "))) SELECT count(*) FROM a");
    if (server_.number("WITH a AS (SELECT 1 FROM pg_namespace WHERE nspname = " + sql_text(schema_) +
                       ") SELECT count(*) FROM a") == 0)
      server_.run("CREATE SCHEMA " + sql_name(schema_));
  }

  // Throws Error(kBadUse) where another survey stands there by another method or metric.
  void expect_method(const core::Method& method, const core::Metric& metric) {
    if (!stands("survey")) return;
    const auto others = server_.rows(
        "WITH a AS (SELECT coalesce(title, '') AS title, coalesce(method, '') AS method, coalesce(metric, "
        "'') AS metric FROM " +
        name_of("survey") + " WHERE survey_uuid <> " + sql_text(survey_) + " AND (method IS DISTINCT FROM " +
        sql_text(method.id) + " OR metric IS DISTINCT FROM " + sql_text(metric.id) +
        ") ORDER BY 1 LIMIT 1) SELECT * FROM a");
    if (others.empty()) return;
    throw Error(
        ErrorCode::kBadUse,
        "in the schema " + schema_ + " the survey \"" + others[0][0] + "\" stands by the metric " +
            others[0][2] + " of the method " + others[0][1] + ", and this one would by " + metric.id +
            " of " + method.id +
            ": their classes would be taken for one. Publish by the same (--method, --metric), or into "
            "another schema (--schema); nothing was stored",
        words_.shown);
  }

  // Throws Error(kBadUse) where visits stand there that only the days and seasons asked for keep at home.
  void expect_nothing_outside(const core::SharedSurvey& shared, const core::Period& period) {
    if (shared.visits_outside().empty() || !stands("visits")) return;
    const std::int64_t outside = server_.number(
        "WITH a AS (SELECT 1 FROM " + name_of("visits") + " WHERE survey_uuid = " + sql_text(survey_) +
        " AND row_key = ANY (string_to_array(" + sql_text(core::joined(shared.visits_outside(), ",")) +
        ", ','))) SELECT count(*) FROM a");
    if (outside == 0) return;
    const bool one = outside == 1;
    throw Error(ErrorCode::kBadUse,
                std::to_string(outside) + (one ? " visit" : " visits") + " of this survey " +
                    (shared.rules().narrowed()
                         ? "of other days or seasons than asked for (" + core::period_words(period) + ")"
                         : "after " + core::format_date(period.until)) +
                    (one ? " stands" : " stand") + " in the schema " + schema_ +
                    ", and would be removed with all that hangs on " + (one ? "it" : "them") +
                    "; say --force if that is meant; nothing was stored",
                words_.shown);
  }

  // Before it is looked: what is compared is there, and from here on this transaction can write nothing.
  void stage_to_look(const std::vector<ExportTable>& tables) {
    for (const ExportTable& table : tables) send(with_row_keys(table), staged_name(table));
    server_.run("SET TRANSACTION READ ONLY");
  }

  PublishedLayer publish_styles(const ExportSource& source, const std::vector<ExportTable>& tables) {
    return geodata::publish_styles(server_, schema_, source, tables, utc_, touch_);
  }

  // Of a layer that was not chosen: nothing is added, but nothing stays that is not handed over any more.
  std::optional<PublishedLayer> bring_level(const ExportTable& table) {
    if (!stands(table.name)) return std::nullopt;
    const std::int64_t before =
        server_.number("WITH a AS (SELECT 1 FROM " + name_of(table.name) +
                       " WHERE survey_uuid = " + sql_text(survey_) + ") SELECT count(*) FROM a");
    PublishedLayer layer = brought(table, false);
    layer.unchanged = before - layer.removed - layer.changed;
    if (layer.removed + layer.changed == 0) return std::nullopt;
    return layer;
  }

  PublishedLayer publish(const ExportTable& table) {
    PublishedLayer layer = brought(table, true);
    layer.unchanged = static_cast<std::int64_t>(table.rows) - layer.changed - layer.added;
    return layer;
  }

  void commit() { server_.commit(); }

 private:
  static std::string staged_name(const ExportTable& table) { return "brookmark_in_" + table.name; }

  PublishedLayer brought(const ExportTable& table, bool with_new) {
    const PublishedTable there(server_, words_, schema_, table, frame_, touch_);
    const std::string staged = staged_name(table);
    if (touch_ == Touch::kWrite) send(with_row_keys(table), staged);
    PublishedLayer layer{table.name};
    layer.removed = there.remove_vanished(staged, survey_);
    layer.changed = there.update_changed(staged, survey_, utc_);
    if (with_new) layer.added = there.add_new(staged, survey_, utc_);
    if (touch_ == Touch::kWrite) server_.run("DROP TABLE pg_temp." + sql_name(staged));
    return layer;
  }

  std::string name_of(const std::string& table) const { return sql_name(schema_) + "." + sql_name(table); }

  // A table of ours is there. One of somebody else's is in nobody's way as long as it is not to be written.
  bool stands(const std::string& table) {
    return server_.number(
               "WITH a AS (SELECT 1 FROM pg_attribute JOIN pg_class c ON c.oid = attrelid JOIN pg_namespace "
               "n "
               "ON n.oid = relnamespace WHERE nspname = " +
               sql_text(schema_) + " AND relname = " + sql_text(table) +
               " AND attname = 'survey_uuid' AND NOT attisdropped) SELECT count(*) FROM a") > 0;
  }

  // To a table that only this connection sees and that is gone with it.
  void send(const ExportTable& table, const std::string& staged) {
    const CopyStream copy;
    CPLStringList options;
    for (const auto& [name, value] : {std::pair{"TEMPORARY", "ON"},
                                      {"EXTRACT_SCHEMA_FROM_LAYER_NAME", "NO"},
                                      {"LAUNDER", "NO"},
                                      {"PRECISION", "NO"},
                                      {"FID", kStagedRow},
                                      {"GEOMETRY_NAME", kGeometry},
                                      {"SPATIAL_INDEX", "NONE"}})
      options.SetNameValue(name, value);
    OGRLayer* layer = server_.dataset().CreateLayer(
        staged.c_str(),
        table.shape == TableShape::kNone ? nullptr : const_cast<OGRSpatialReference*>(&frame_.system()),
        static_cast<OGRwkbGeometryType>(geometry_type_of(table.shape)), options.List());
    server_.expect(layer != nullptr);
    server_.expect(create_fields(*layer, table));
    OgrRows rows(*layer, frame_);
    for (std::size_t i = 0; i < table.rows; ++i)
      server_.expect(layer->CreateFeature(&rows.feature(table.row(i))) == OGRERR_NONE);
    server_.expect(layer->SyncToDisk() == OGRERR_NONE);
    server_.run("ANALYZE pg_temp." + sql_name(staged));
    const std::int64_t arrived =
        server_.number("WITH a AS (SELECT 1 FROM pg_temp." + sql_name(staged) + ") SELECT count(*) FROM a");
    server_.expect(arrived == static_cast<std::int64_t>(table.rows), "not every row arrived");
  }

  const PostgresWords& words_;
  const ExportFrame& frame_;
  std::string schema_, survey_, utc_;
  Touch touch_;
  PostgresSession server_;
};

// What is written or looked at, made ready.
struct Wanted {
  PostgresWords words;
  std::vector<ExportTable> tables;  // chosen, and the survey's own
  std::vector<ExportTable> others;  // that were not chosen
  std::unique_ptr<const ExportFrame> frame;
  std::string utc;
};

Wanted wanted(const ExportSource& source, const std::string& database, const PublishOptions& options) {
  Wanted all;
  all.words = read_postgres_words(database);
  check_schema(options.schema);
  expect_one_method(source);
  all.tables = chosen_tables(source, options.only);
  if (!options.only.empty())
    for (ExportTable& table : chosen_tables(source, {}))
      if (std::find(options.only.begin(), options.only.end(), table.name) == options.only.end())
        all.others.push_back(std::move(table));
  start_geodata();
  all.frame = std::make_unique<const ExportFrame>(options.crs, source.snapshot, all.words.shown);
  all.utc = time_of_export(options.clock_utc);
  all.tables.push_back(survey_table(source, {all.utc, all.frame->name(), options.licence}));
  return all;
}

void expect_welcome(Publisher& publisher, const ExportSource& source, const PublishOptions& options) {
  publisher.expect_method(*source.assessment.method, source.assessment.metric_info());
  if (!options.may_shorten) publisher.expect_nothing_outside(source.shared, source.assessment.period);
}

}  // namespace

std::vector<std::pair<std::string, std::int64_t>> rows_that_leave(const ExportSource& source,
                                                                  const std::vector<std::string>& only) {
  std::vector<std::pair<std::string, std::int64_t>> rows;
  for (const ExportTable& table : chosen_tables(source, only))
    rows.emplace_back(table.name, static_cast<std::int64_t>(table.rows));
  rows.emplace_back("survey", 1);
  return rows;
}

std::vector<PublishedLayer> publish_survey(const ExportSource& source, const std::string& database,
                                           const PublishOptions& options) {
  const Wanted all = wanted(source, database, options);
  Publisher publisher(all.words, *all.frame, options, source.snapshot.survey.key, all.utc, Touch::kWrite);
  std::vector<PublishedLayer> layers;
  const auto tell = [&](const std::string& layer) {
    const double done = static_cast<double>(layers.size()) / static_cast<double>(all.tables.size());
    if (options.progress && !options.progress(layer, std::min(done, 1.0)))
      throw Error(ErrorCode::kBadUse, "stopped; nothing was stored", all.words.shown);
  };
  expect_welcome(publisher, source, options);
  for (const ExportTable& table : all.tables) {
    tell(table.name);
    layers.push_back(publisher.publish(table));
  }
  for (const ExportTable& table : all.others)
    if (const auto layer = publisher.bring_level(table)) layers.push_back(*layer);
  layers.push_back(publisher.publish_styles(source, all.tables));
  tell("all of it");
  publisher.commit();
  return layers;
}

PublishPreview preview_publishing(const ExportSource& source, const std::string& database,
                                  const PublishOptions& options) {
  const Wanted all = wanted(source, database, options);
  Publisher publisher(all.words, *all.frame, options, source.snapshot.survey.key, all.utc, Touch::kLook);
  std::vector<ExportTable> tables = all.tables;
  tables.insert(tables.end(), all.others.begin(), all.others.end());
  publisher.stage_to_look(tables);
  PublishPreview preview;
  try {
    expect_welcome(publisher, source, options);
  } catch (const Error& error) {
    if (error.code() != ErrorCode::kBadUse) throw;
    preview.refused = error.what();
  }
  for (const ExportTable& table : all.tables) preview.layers.push_back(publisher.publish(table));
  for (const ExportTable& table : all.others)
    if (const auto layer = publisher.bring_level(table)) preview.layers.push_back(*layer);
  preview.layers.push_back(publisher.publish_styles(source, all.tables));
  return preview;
}

}  // namespace brookmark::geodata
