// Why: the arithmetic of a tally, apart from who asks for it: which line a name belongs to, what one more makes of it.
// Private to viewer/actions.
// Use: const TallyChange change = one_more(sheet, choice);  if (change.trouble.empty()) keep(change);
#pragma once

#include <optional>
#include <string>

#include "viewer/state/entry_sheet.hpp"

namespace brookmark::viewer {

// What becomes of one line; `row` is empty where it goes.
struct TallyChange {
  std::optional<std::size_t> line;  // of the sheet's records; nothing: a new one
  std::optional<core::Record> row;
  std::string trouble;       // a sentence: nothing is changed
  bool nothing_new = false;  // the line says so already
};

TallyChange one_more(const EntrySheet& sheet, const NameChoice& name);
TallyChange with_number(const EntrySheet& sheet, const NameChoice& name, const std::string& words);
TallyChange changed_by(const EntrySheet& sheet, std::size_t line, int by);

}  // namespace brookmark::viewer
