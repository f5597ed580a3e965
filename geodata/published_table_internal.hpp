// Why: the table of one layer on the server: made where it is missing, widened where it is older, and brought level with what
// was sent by three statements that touch no row which says the same already.
// Use: const PublishedTable there(server, words, "brookmark", table, frame);  there.remove_vanished(staged, survey);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/error.hpp"
#include "geodata/export_frame_internal.hpp"
#include "geodata/export_tables_internal.hpp"
#include "geodata/postgres_session_internal.hpp"

namespace brookmark::geodata {

inline constexpr const char *kRowKey = "row_key", *kGeometry = "geom", *kStagedRow = "staged_row";

// The table with its row keys in front, all different: a second row of one key is called KEY/2.
ExportTable with_row_keys(ExportTable table);

enum class Touch : std::uint8_t {
  kWrite,
  kLook  // nothing is made or written; the same numbers come from questions
};

class PublishedTable {
 public:
  // `server` must outlive it. Throws Error: kBadUse (a table of that name that is none of ours, or with a column or a system
  // of another kind), and as PostgresSession.
  PublishedTable(PostgresSession& server, const PostgresWords& words, const std::string& schema,
                 const ExportTable& table, const ExportFrame& frame, Touch touch);

  // `staged` holds the survey's rows of this layer, with their keys. All give the number of rows touched; with kLook, of
  // those that would be.
  std::int64_t remove_vanished(const std::string& staged, const std::string& survey) const;
  std::int64_t update_changed(const std::string& staged, const std::string& survey,
                              const std::string& utc) const;
  std::int64_t add_new(const std::string& staged, const std::string& survey, const std::string& utc) const;

 private:
  struct PgColumn {
    std::string name, type;  // as SQL writes it
    std::string udt;         // as the catalogue has it
    std::string what;        // for whoever reads the table's description
    bool compared = true;
    bool there = true;  // false: the server does not know it yet
  };
  void create(const ExportTable& table) const;
  void widen(const std::vector<std::vector<std::string>>& found);
  void check_system(const ExportTable& table) const;
  void describe(const PgColumn& column) const;
  Error in_the_way(const std::string& why) const;

  PostgresSession& server_;
  const PostgresWords& words_;
  Touch touch_;
  bool there_ = true;  // the table
  std::string schema_, shown_, name_, epsg_;
  std::vector<PgColumn> columns_;
};

}  // namespace brookmark::geodata
