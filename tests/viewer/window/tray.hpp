// Why: a new visit with its tally open, on a real survey file.
// Use: Tray tray(path);  tray.tap("Gammaridae");  CHECK(stored(path) == "Gammaridae 1");
#pragma once

#include <doctest/doctest.h>

#include <string>

#include "core/survey/rows.hpp"
#include "desk.hpp"
#include "viewer/actions/visit_form.hpp"

namespace brookmark::viewer {

inline const core::Moment kMay{*core::parse_date("2024-05-03"), 570, 60};

// A desk with the tally of a new visit to B before it.
struct Tray : Desk {
  explicit Tray(const std::filesystem::path& path) : Desk(path) {
    stage.apply(StartEntry{site("B"), kMay});
    stage.apply(ShowEntryPart{EntryPart::kTally});
    draw(3);
  }
  const EntrySheet& sheet() const { return *state().entry; }
  std::size_t button(const std::string& name) const {
    for (std::size_t i = 0; i < sheet().common.size(); ++i)
      if (sheet().common[i].name.shown == name) return i;
    FAIL("there is no button for ", name);
    return 0;
  }
  void tap(const std::string& name) { stage.apply(TapTaxon{button(name)}); }
  void write(const std::string& name, const std::string& number) {
    stage.apply(TypeName{name});
    stage.apply(TakeChoice{});
    stage.apply(TypeNumber{number});
    stage.apply(TakeNumber{});
  }
};

// "Gammaridae 3; Baetidae present" of the only sample of a file, in the order of its rows.
inline std::string stored(const std::filesystem::path& path, std::size_t sample = 0) {
  const core::Snapshot s = open_session(path).snapshot;
  std::string words;
  if (sample >= s.samples.size()) return "no sample";
  for (std::size_t r = s.samples.record_begin[sample]; r < s.samples.record_begin[sample + 1]; ++r) {
    const core::Record row = core::record_row(s, core::RecordIndex(r));
    words += (words.empty() ? "" : "; ") + std::string(s.taxa.name[s.records.taxon[r].value()]) + " " +
             quantity_in_words(row);
    if (row.stage != core::LifeStage::kUnknown) words += std::string(" ") + core::life_stage_name(row.stage);
    if (!row.qualifier.empty()) words += " " + row.qualifier;
  }
  return words;
}

}  // namespace brookmark::viewer
