// Why: what is typed about a visit becomes rows only when every field can be read; what cannot is named, with how to
// write it.
// Use: const FormReading read = read_form(sheet, model);  if (read.trouble.empty()) store(read.visit, read.sample);
#pragma once

#include <optional>
#include <string>

#include "core/base/date.hpp"
#include "viewer/state/entry_sheet.hpp"
#include "viewer/state/model.hpp"

namespace brookmark::viewer {

// A new visit now: what stays the same from visit to visit (protocol, unit of effort, mesh) as at the newest sample of
// the site, else of the survey; people as at a visit of the same day; how much was done this time is left empty.
VisitForm fresh_form(const core::Snapshot& snapshot, core::SiteIndex site, const core::Moment& now);
// Of a sample that is there.
VisitForm form_of(const core::Snapshot& snapshot, core::SampleIndex sample);

struct FormReading {
  core::Visit visit;
  core::Sample sample;
  std::string trouble;  // a sentence; empty: all can be read
  std::optional<EntryField> at;
};
// The keys of the rows are those of the sheet. `today` is the last day that may be written.
FormReading read_form(const EntrySheet& sheet, const core::Snapshot& snapshot, core::Date today);

// "Q04-2024-05", and "-2" behind it where that is taken.
std::string free_sample_code(const core::Snapshot& snapshot, std::string_view site_code, core::Date date);

// The clock and the offset from UTC of this machine.
core::Moment now_here();

}  // namespace brookmark::viewer
