#include "geodata/published_table_internal.hpp"

#include <algorithm>

namespace brookmark::geodata {

namespace {

constexpr const char *kSurvey = "survey_uuid", *kPublished = "published_utc";

std::pair<const char*, const char*> type_of(ColumnType type) {
  switch (type) {
    case ColumnType::kNumber:
      return {"double precision", "float8"};
    case ColumnType::kInteger:
      return {"bigint", "int8"};
    case ColumnType::kFlag:
      return {"boolean", "bool"};
    case ColumnType::kDate:
      return {"date", "date"};
    case ColumnType::kUtc:
      return {"timestamp with time zone", "timestamptz"};
    case ColumnType::kText:
      break;
  }
  return {"text", "text"};
}

const char* geometry_name(TableShape shape) {
  return shape == TableShape::kPoint ? "Point" : shape == TableShape::kLine ? "LineString" : "MultiPolygon";
}

}  // namespace

PublishedTable::PublishedTable(PostgresSession& server, const PostgresWords& words, const std::string& schema,
                               const ExportTable& table, const ExportFrame& frame, Touch touch)
    : server_(server),
      words_(words),
      touch_(touch),
      schema_(schema),
      shown_(schema + "." + table.name),
      name_(sql_name(schema) + "." + sql_name(table.name)),
      epsg_(frame.name().substr(frame.name().find(':') + 1)) {
  for (const Column& column : table.columns) {
    const auto [type, udt] = type_of(column.type);
    // When a survey was handed over last is no change of it.
    columns_.push_back({column.name, type, udt, column.what, std::string(column.name) != "exported_utc"});
  }
  if (table.shape != TableShape::kNone)
    columns_.push_back({kGeometry, std::string("geometry(") + geometry_name(table.shape) + ", " + epsg_ + ")",
                        "geometry", ""});
  const auto found = server_.rows(
      "WITH a AS (SELECT attname::text, typname::text FROM pg_attribute JOIN pg_class c ON c.oid = attrelid "
      "JOIN "
      "pg_namespace n ON n.oid = relnamespace JOIN pg_type t ON t.oid = atttypid WHERE nspname = " +
      sql_text(schema) + " AND relname = " + sql_text(table.name) +
      " AND attnum > 0 AND NOT attisdropped) SELECT * FROM a");
  if (found.empty() && touch_ == Touch::kLook) {
    there_ = false;
  } else if (found.empty()) {
    create(table);
  } else {
    widen(found);
    if (table.shape != TableShape::kNone) check_system(table);
  }
}

Error PublishedTable::in_the_way(const std::string& why) const {
  return {ErrorCode::kBadUse,
          "the table " + shown_ + " " + why + "; name another schema with --schema; nothing was stored",
          words_.shown};
}

void PublishedTable::describe(const PgColumn& column) const {
  if (!column.what.empty())
    server_.run("COMMENT ON COLUMN " + name_ + "." + sql_name(column.name) + " IS " + sql_text(column.what));
}

void PublishedTable::create(const ExportTable& table) const {
  std::string columns;
  for (const PgColumn& column : columns_) columns += sql_name(column.name) + " " + column.type + ", ";
  server_.run("CREATE TABLE " + name_ + " (fid bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, " + kSurvey +
              " text NOT NULL, " + kRowKey + " text NOT NULL, " + columns + kPublished +
              " timestamp with time zone NOT NULL, UNIQUE (" + kSurvey + ", " + kRowKey + "))");
  server_.run("COMMENT ON TABLE " + name_ + " IS " + sql_text(table.description));
  std::vector<PgColumn> described = columns_;
  described.push_back({"fid", "", "", "row number on this server; stays with the row"});
  described.push_back({kSurvey, "", "", "key of the survey that the row belongs to"});
  described.push_back(
      {kRowKey, "", "", "what makes the row within its survey: its UUID, or what it was worked out from"});
  described.push_back(
      {kPublished, "", "", "when this row was last written; a row that did not change keeps it"});
  for (const PgColumn& column : described) describe(column);
  for (const PgColumn& column : columns_) {
    if (column.name == kGeometry)
      server_.run("CREATE INDEX ON " + name_ + " USING gist (" + kGeometry + ")");
    else if (column.name.ends_with("_uuid") || column.name == "uuid")
      server_.run("CREATE INDEX ON " + name_ + " (" + sql_name(column.name) + ")");
  }
}

void PublishedTable::widen(const std::vector<std::vector<std::string>>& found) {
  const auto udt_of = [&](const std::string& name) -> std::string {
    for (const auto& row : found)
      if (row[0] == name) return row[1];
    return {};
  };
  if (udt_of(kSurvey) != "text" || udt_of(kRowKey) != "text" || udt_of(kPublished) != "timestamptz")
    throw in_the_way("is there already and was not made by publishing");
  for (PgColumn& column : columns_) {
    const std::string udt = udt_of(column.name);
    if (udt.empty() && touch_ == Touch::kLook) {
      column.there = false;
    } else if (udt.empty()) {
      server_.run("ALTER TABLE " + name_ + " ADD COLUMN " + sql_name(column.name) + " " + column.type);
      describe(column);
    } else if (udt != column.udt && !(column.udt == "text" && udt == "varchar")) {
      throw in_the_way("has a column " + column.name + " of another kind (" + udt + ", not " + column.udt +
                       ")");
    }
  }
}

void PublishedTable::check_system(const ExportTable& table) const {
  const std::int64_t same = server_.number(
      "WITH a AS (SELECT 1 FROM geometry_columns WHERE f_table_schema = " + sql_text(schema_) +
      " AND f_table_name = " + sql_text(table.name) + " AND srid = " + epsg_ + ") SELECT count(*) FROM a");
  if (same == 0)
    throw in_the_way(
        "is not in EPSG:" + epsg_ +
        ", and a schema has one coordinate system for all its surveys; publish in that one (--crs)");
}

std::int64_t PublishedTable::remove_vanished(const std::string& staged, const std::string& survey) const {
  if (!there_) return 0;
  const std::string which = " FROM " + name_ + " t WHERE t." + kSurvey + " = " + sql_text(survey) +
                            " AND NOT EXISTS (SELECT 1 FROM pg_temp." + sql_name(staged) + " s WHERE s." +
                            kRowKey + " = t." + kRowKey + ")";
  return server_.number("WITH gone AS (" +
                        (touch_ == Touch::kLook ? "SELECT 1" + which : "DELETE" + which + " RETURNING 1") +
                        ") SELECT count(*) FROM gone");
}

std::int64_t PublishedTable::update_changed(const std::string& staged, const std::string& survey,
                                            const std::string& utc) const {
  if (!there_) return 0;
  std::string set, ours, theirs;
  for (const PgColumn& column : columns_) {
    const std::string name = sql_name(column.name);
    set += name + " = s." + name + ", ";
    if (!column.compared) continue;
    // Shapes by every bit: PostGIS has had more than one sense of "equal".
    const bool shape = column.name == kGeometry;
    const std::string there = column.there ? "t." + name : "NULL::" + column.type;
    theirs += (theirs.empty() ? "" : ", ") + (shape ? "ST_AsEWKB(" + there + ")" : there);
    ours += (ours.empty() ? "" : ", ") + (shape ? "ST_AsEWKB(s." + name + ")" : "s." + name);
  }
  const std::string with = "pg_temp." + sql_name(staged) + " s WHERE t." + kSurvey + " = " +
                           sql_text(survey) + " AND t." + kRowKey + " = s." + kRowKey + " AND ROW(" + theirs +
                           ") IS DISTINCT FROM ROW(" + ours + ")";
  return server_.number("WITH new AS (" +
                        (touch_ == Touch::kLook ? "SELECT 1 FROM " + name_ + " t, " + with
                                                : "UPDATE " + name_ + " t SET " + set + kPublished + " = " +
                                                      sql_text(utc) + " FROM " + with + " RETURNING 1") +
                        ") SELECT count(*) FROM new");
}

std::int64_t PublishedTable::add_new(const std::string& staged, const std::string& survey,
                                     const std::string& utc) const {
  std::string names;
  for (const PgColumn& column : columns_) names += ", " + sql_name(column.name);
  std::string from = " FROM pg_temp." + sql_name(staged) + " s";
  if (there_)
    from += " WHERE NOT EXISTS (SELECT 1 FROM " + name_ + " t WHERE t." + kSurvey + " = " + sql_text(survey) +
            " AND t." + kRowKey + " = s." + kRowKey + ")";
  return server_.number("WITH new AS (" +
                        (touch_ == Touch::kLook
                             ? "SELECT 1" + from
                             : "INSERT INTO " + name_ + " (" + kSurvey + ", " + kPublished + ", " + kRowKey +
                                   names + ") SELECT " + sql_text(survey) + ", " + sql_text(utc) +
                                   "::timestamptz, " + kRowKey + names + from + " ORDER BY " + kStagedRow +
                                   " RETURNING 1") +
                        ") SELECT count(*) FROM new");
}

}  // namespace brookmark::geodata
