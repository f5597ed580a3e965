#include "geodata/publish.hpp"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <ogr_spatialref.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <map>
#include <optional>

#include "core/base/text.hpp"
#include "geodata/export_frame_internal.hpp"
#include "geodata/export_tables_internal.hpp"
#include "geodata/export_writers_internal.hpp"
#include "geodata/ogr_rows_internal.hpp"
#include "geodata/output_file.hpp"
#include "geodata/postgres_session_internal.hpp"
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

// What makes a row of a layer whose rows have no key of their own.
struct WorkedOut {
  const char* layer;
  std::vector<const char*> columns;
};
const WorkedOut kWorkedOut[] = {{"scores", {"sample_uuid", "method", "metric"}},
                                {"channel_classes", {"reach_uuid"}},
                                {"drops", {"upstream_site", "downstream_site", "season"}}};

// The table with its row keys in front, all different: a second row of one key is called KEY/2.
ExportTable with_row_keys(ExportTable table) {
  std::vector<std::size_t> parts;
  for (const WorkedOut& layer : kWorkedOut)
    if (table.name == layer.layer)
      for (const char* name : layer.columns)
        for (std::size_t c = 0; c < table.columns.size(); ++c)
          if (std::string_view(table.columns[c].name) == name) parts.push_back(c);
  if (parts.empty()) parts.push_back(0);
  auto keys = std::make_shared<std::vector<std::string>>();
  std::map<std::string, int> times;
  for (std::size_t i = 0; i < table.rows; ++i) {
    const ExportRow row = table.row(i);
    std::string key;
    for (const std::size_t c : parts) key += (c == parts.front() ? "" : "/") + cell_text(row.cells[c]);
    const int time = ++times[key];
    keys->push_back(time == 1 ? key : key + "/" + std::to_string(time));
  }
  table.columns.insert(table.columns.begin(), {kRowKey, ColumnType::kText});
  table.row = [keys, inner = std::move(table.row)](std::size_t i) {
    ExportRow row = inner(i);
    row.cells.insert(row.cells.begin(), (*keys)[i]);
    return row;
  };
  return table;
}

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
            const std::string& survey, const std::string& utc)
      : words_(words), frame_(frame), schema_(options.schema), survey_(survey), utc_(utc), server_(words) {
    if (server_.number(
            "WITH a AS (SELECT 1 FROM pg_extension WHERE extname = 'postgis') SELECT count(*) FROM a") == 0)
      throw Error(
          ErrorCode::kStorage,
          "the database has no PostGIS, which places and shapes need; ask whoever runs it to say CREATE "
          "EXTENSION postgis",
          words.shown);
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

  // Throws Error(kBadUse) where visits of this survey after the day stand there.
  void expect_nothing_later(const core::Date& until) {
    if (!stands("visits")) return;
    const std::int64_t later = server_.number(
        "WITH a AS (SELECT 1 FROM " + name_of("visits") + " WHERE survey_uuid = " + sql_text(survey_) +
        " AND date > " + sql_text(core::format_date(until)) + "::date) SELECT count(*) FROM a");
    if (later == 0) return;
    throw Error(ErrorCode::kBadUse,
                std::to_string(later) + (later == 1 ? " visit" : " visits") + " of this survey after " +
                    core::format_date(until) + (later == 1 ? " stands" : " stand") + " in the schema " +
                    schema_ + ", and would be removed with all that hangs on " +
                    (later == 1 ? "it" : "them") + "; say --force if that is meant; nothing was stored",
                words_.shown);
  }

  // Of a layer that was not chosen: nothing is added, but nothing stays that is not handed over any more.
  std::optional<PublishedLayer> bring_level(const ExportTable& table) {
    if (!stands(table.name)) return std::nullopt;
    const PublishedTable there(server_, words_, schema_, table, frame_);
    const std::string staged = "brookmark_in_" + table.name;
    send(with_row_keys(table), staged);
    PublishedLayer layer{table.name};
    layer.removed = there.remove_vanished(staged, survey_);
    layer.changed = there.update_changed(staged, survey_, utc_);
    layer.unchanged =
        server_.number("WITH a AS (SELECT 1 FROM " + name_of(table.name) +
                       " WHERE survey_uuid = " + sql_text(survey_) + ") SELECT count(*) FROM a") -
        layer.changed;
    server_.run("DROP TABLE pg_temp." + sql_name(staged));
    if (layer.removed + layer.changed == 0) return std::nullopt;
    return layer;
  }

  PublishedLayer publish(const ExportTable& table) {
    const PublishedTable there(server_, words_, schema_, table, frame_);
    const std::string staged = "brookmark_in_" + table.name;
    const ExportTable keyed = with_row_keys(table);
    send(keyed, staged);
    PublishedLayer layer{table.name};
    layer.removed = there.remove_vanished(staged, survey_);
    layer.changed = there.update_changed(staged, survey_, utc_);
    layer.added = there.add_new(staged, survey_, utc_);
    layer.unchanged = static_cast<std::int64_t>(table.rows) - layer.changed - layer.added;
    server_.run("DROP TABLE pg_temp." + sql_name(staged));
    return layer;
  }

  void commit() { server_.commit(); }

 private:
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
  PostgresSession server_;
};

}  // namespace

std::vector<PublishedLayer> publish_survey(const ExportSource& source, const std::string& database,
                                           const PublishOptions& options) {
  const PostgresWords words = read_postgres_words(database);
  check_schema(options.schema);
  expect_one_method(source);
  std::vector<ExportTable> tables = chosen_tables(source, options.only);
  start_geodata();
  const ExportFrame frame(options.crs, source.snapshot, words.shown);
  const std::string utc = time_of_export(options.clock_utc);
  tables.push_back(survey_table(source, {utc, frame.name(), options.licence}));

  Publisher publisher(words, frame, options, source.snapshot.survey.key, utc);
  std::vector<PublishedLayer> layers;
  const auto tell = [&](const std::string& layer) {
    const double done = static_cast<double>(layers.size()) / static_cast<double>(tables.size());
    if (options.progress && !options.progress(layer, done))
      throw Error(ErrorCode::kBadUse, "stopped; nothing was stored", words.shown);
  };
  const core::Assessment& assessment = source.assessment;
  publisher.expect_method(*assessment.method, assessment.metric_info());
  if (const auto until = source.shared.rules().until; until && !options.may_shorten)
    publisher.expect_nothing_later(*until);
  for (const ExportTable& table : tables) {
    tell(table.name);
    layers.push_back(publisher.publish(table));
  }
  if (!options.only.empty())
    for (const ExportTable& table : chosen_tables(source, {}))
      if (std::find(options.only.begin(), options.only.end(), table.name) == options.only.end())
        if (const auto layer = publisher.bring_level(table)) layers.push_back(*layer);
  tell("all of it");
  publisher.commit();
  return layers;
}

}  // namespace brookmark::geodata
