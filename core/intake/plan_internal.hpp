// Why: what every kind of import shares: the row at hand, its cells as typed values, findings with line and
// column, and edits that are kept only when the whole row is good. Private to core/intake.
// Use: plan.each_row([&] {
//        const auto code = plan.need(Field::kSiteCode, "code"); ... plan.add(AddSite{site});
//      });
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "core/intake/columns.hpp"
#include "core/intake/import.hpp"

namespace brookmark::core {

class Plan {
 public:
  Plan(ImportKind kind, const Table& table, const Snapshot& snapshot, const ImportOptions& options);

  const Table& table() const { return table_; }
  const Snapshot& snapshot() const { return snapshot_; }
  const ImportOptions& options() const { return options_; }
  ColumnMatch& columns() { return columns_; }
  ImportReport& outcome() { return report_; }
  bool has(Field field) const { return columns_.at(field).has_value(); }
  std::string new_key() const { return new_key_(); }
  // Throws Error(kBadInput) that lists the columns found and the one wanted.
  void require(Field field) const;
  [[noreturn]] void refuse(const std::string& sentence) const;

  // Runs `work` for every row; a row with an error counts as bad and its edits are dropped.
  void each_row(const std::function<void()>& work);
  const TableRow& row() const { return *row_; }
  bool row_is_good() const { return row_good_; }
  std::string_view cell(Field field) const;  // trimmed; empty where there is no such column
  std::string text(Field field) const { return std::string(cell(field)); }

  void error(Field field, std::string sentence) { report(Severity::kError, field, std::move(sentence)); }
  void error(std::string sentence) { report(Severity::kError, Field::kEnd, std::move(sentence)); }
  void warn(Field field, std::string sentence) { report(Severity::kWarning, field, std::move(sentence)); }
  void warn(std::string sentence) { report(Severity::kWarning, Field::kEnd, std::move(sentence)); }
  // Findings on an earlier row that do not touch the row at hand.
  void warn_at(std::size_t line, Field field, std::string sentence) {
    report_at(Severity::kWarning, line, field, std::move(sentence));
  }
  void note_at(std::size_t line, Field field, std::string sentence) {
    report_at(Severity::kNote, line, field, std::move(sentence));
  }
  // What a sentence calls a row: "row" and "line 3" of a table of text, "feature" and "feature 3" of a layer.
  const char* row_word() const { return table_.has_shapes ? "feature" : "row"; }
  std::string place(std::size_t line) const {
    return (table_.has_shapes ? "feature " : "line ") + std::to_string(line);
  }
  // Where each row's measurement stood before a wide table was made long; findings then name that column.
  void measured_in(const std::vector<std::string>& columns) { measured_in_ = &columns; }

  // The typed readers give nothing for an empty cell, and nothing plus an error for a cell that cannot be
  // read.
  std::string need(Field field, const std::string& what);  // an empty cell is an error, and gives ""
  std::optional<double> number(Field field, const std::string& what);
  std::optional<Date> date(Field field, bool may_be_in_future);
  std::optional<Moment> moment();  // kDate with kTime; a date in the future is an error
  // The word of an enumeration. `parse` and `name` are those of survey/types.hpp; `last` is its last value.
  template <class Enum>
  std::optional<Enum> word(Field field, std::optional<Enum> (*parse)(std::string_view),
                           const char* (*name)(Enum), Enum last) {
    const std::string_view written = cell(field);
    if (written.empty()) return std::nullopt;
    if (const auto value = parse(written)) return value;
    std::string known;
    for (unsigned i = 0; i <= static_cast<unsigned>(last); ++i)
      known += (i == 0 ? "" : ", ") + std::string(name(static_cast<Enum>(i)));
    error(field,
          "The entry \"" + std::string(written) + "\" is not known here; write one of: " + known + ".");
    return std::nullopt;
  }

  // "yes", "no", "true", "false", "1", "0", "y", "n".
  std::optional<bool> yes_or_no(Field field);

  // Rows of a flat sheet repeat their site and sample. True: this code stood before in an identical row, so
  // there is nothing to do. A differing row, or a code that the survey has already, is an error.
  bool repeats(Field field, const std::string& code, const std::string& what, bool in_survey);

  void add(Edit edit) { pending_.push_back(std::move(edit)); }
  std::size_t pending() const { return pending_.size(); }

 private:
  void report(Severity severity, Field field, std::string sentence);
  void report_at(Severity severity, std::size_t line, Field field, std::string sentence);
  std::string column_name(Field field) const;
  std::string signature() const;

  const Table& table_;
  const Snapshot& snapshot_;
  const ImportOptions& options_;
  KeySource new_key_;
  Date latest_;
  ColumnMatch columns_;
  const TableRow* row_ = nullptr;
  std::size_t row_index_ = 0;
  const std::vector<std::string>* measured_in_ = nullptr;
  bool row_good_ = true;
  std::vector<Edit> pending_;
  struct Seen {
    std::size_t line;
    std::string signature;
  };
  std::unordered_map<std::string, Seen> seen_;
  std::optional<std::pair<std::string, Seen>> seen_in_row_;
  ImportReport report_;
};

// Codes of the survey's sites or samples, with a hint for a code that differs in case or spacing only.
class CodeList {
 public:
  static CodeList of_sites(const Snapshot& snapshot);
  static CodeList of_samples(const Snapshot& snapshot);
  std::optional<std::size_t> find(std::string_view code) const;
  // "There is no site \"s1\" in the survey; did you mean \"S1\"? ..."
  std::string not_found(std::string_view code) const;

 private:
  CodeList(const char* what, const char* how, const TextColumn& codes, const TextColumn& keys);
  const char* what_;
  const char* how_;
  std::unordered_map<std::string, std::size_t> exact_;
  std::unordered_map<std::string, std::string> folded_;
};

std::string entry(std::string_view text);  // The entry "text"

// The kinds of import.
void plan_sites(Plan& plan);
void plan_outfalls(Plan& plan);
void plan_samples(Plan& plan);
void plan_records(Plan& plan);
void plan_measurements(Plan& plan);
void plan_watercourses(Plan& plan);
void plan_catchments(Plan& plan);
void plan_waters(Plan& plan);
void plan_ground(Plan& plan);
void plan_kit(Plan& plan);

}  // namespace brookmark::core
