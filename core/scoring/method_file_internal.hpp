// Why: shipped methods and a surveyor's own are read by one parser, so that both meet the same checks.
// Use: Method m = parse_method({.id = "x", .descriptor = {"x.method.csv", text}, .tables = {{"scores", {...}}}});
#pragma once

#include <filesystem>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/base/error.hpp"
#include "core/base/issue.hpp"
#include "core/base/table.hpp"
#include "core/scoring/method.hpp"

namespace brookmark::core {

struct TableText {
  std::string file;  // for messages
  std::string text;
};

// The tables that may stand beside a descriptor ID.method.csv: ID.scores.csv and so on.
inline constexpr const char* kMethodTables[] = {"scores", "bands", "weights"};

struct MethodTexts {
  std::string id;  // the files' common stem; the descriptor must give the same id
  TableText descriptor;
  std::map<std::string, TableText> tables;  // by kMethodTables
};

// A fault of a method's file: an Error whose place can be read apart.
class MethodFault : public Error {
 public:
  explicit MethodFault(Issue issue);
  const Issue& issue() const { return issue_; }

 private:
  Issue issue_;
};

// Reads on after a fault, so that a surveyor hears of all of them at once. One guard a line or part of one.
class MethodFaults {
 public:
  // False where `work` ended in a fault, which is kept.
  template <class Work>
  bool guard(const Work& work) {
    try {
      work();
      return true;
    } catch (const MethodFault& fault) {
      add(fault.issue());
    } catch (const Error& error) {
      if (error.code() != ErrorCode::kBadInput) throw;
      add({Severity::kError, "", 0, "", error.what()});
    }
    return false;
  }
  void add(Issue issue) { found_.push_back(std::move(issue)); }
  std::size_t count() const { return found_.size(); }
  const Issues& found() const { return found_; }

 private:
  Issues found_;
};

// The method as far as it could be read, and every fault; usable only without a fault.
Method read_method(const MethodTexts& texts, MethodFaults& faults);
// Throws Error(kBadInput) naming file, line and column of the first fault.
Method parse_method(const MethodTexts& texts);
// The texts beside a descriptor. Throws Error for a file that is not there or is not called NAME.method.csv.
MethodTexts texts_of_method(const std::filesystem::path& descriptor);

// Values by abundance code.
bool uses_codes(FormulaKind formula);
bool any_metric(const Method& method, bool (*uses)(FormulaKind));

// Fills Metric::table_decimals.
void take_table_decimals(Method& method);

// From methods/order.csv.
std::vector<std::string> shipped_method_order();

// One table of a method: rows under checked headers, and a way to complain that says where.
class MethodTable {
 public:
  // Throws for a missing or an unknown column and for a malformed row. "note" is always allowed.
  MethodTable(const TableText& text, const std::vector<std::string>& columns,
              const std::vector<std::string>& may_have = {});

  std::size_t size() const { return table_.rows.size(); }
  std::size_t line(std::size_t row) const { return table_.rows[row].line; }
  std::string cell(std::size_t row, std::string_view column) const;  // trimmed; empty for an absent column
  std::vector<std::string> list(std::size_t row, std::string_view column) const;  // parted by '|'
  std::optional<double> number(std::size_t row, std::string_view column) const;   // empty cell: nothing
  bool flag(std::size_t row, std::string_view column) const;                      // "yes", or "no" or empty
  [[noreturn]] void fail(std::size_t row, std::string_view column, const std::string& sentence) const;

 private:
  Table table_;
};

// Source columns that every table shares.
struct SourceCells {
  std::string source_key, source_detail;
  Confirmed confirmed = Confirmed::kMemory;
};
// How a value was established; throws for a word that does not say it.
Confirmed read_confirmed(const MethodTable& table, std::size_t row, std::string_view column);
// Throws when the row has no source, an unknown one, or an unknown word for how it was confirmed.
SourceCells read_source(const MethodTable& table, std::size_t row);

// A method as read, with the rows it came from, before its parts are checked against one another.
struct MethodDraft {
  Method method;
  std::map<std::string, MethodTable> tables;           // "method" and those of kMethodTables that exist
  std::map<std::string, std::size_t> descriptor_rows;  // key -> row
  std::vector<std::size_t> unit_rows;                  // per unit
  std::vector<std::size_t> weight_rows;                // per weight
  std::vector<std::vector<std::size_t>> band_rows;     // per metric and band
  // Of "method" and kMethodTables: read without a fault. What rests on a table with faults is not checked further.
  std::set<std::string> sound;
  std::set<std::string> unreadable;  // there, and not even their header could be read
};

// Reads the descriptor. Rows that carry a claim about the world must say where it comes from.
void read_descriptor(MethodDraft& draft, const MethodTable& table, MethodFaults& faults);

// Names against the checklist, groups against weights, codes against their scheme, bands against one another.
void check_method(const MethodDraft& draft, MethodFaults& faults);

}  // namespace brookmark::core
