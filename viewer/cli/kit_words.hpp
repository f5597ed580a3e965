// Why: what the verbs on kit, risks and rounds of visits read from the command line in the same way.
// Use: const auto items = choose_items(snapshot, history, {"N1", "set:red"});
#pragma once

#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "core/hygiene/kit_records.hpp"
#include "core/store/survey_file.hpp"

namespace brookmark::viewer {

// All throw Error(kNotFound) or Error(kBadInput) with what is known instead.
core::SiteIndex choose_site(const core::Snapshot& snapshot, const std::string& code);
core::KitIndex choose_kit(const core::Snapshot& snapshot, const core::KitHistory& history,
                          const std::string& code);
// Codes, and "set:WORD" for all of a set that is not retired; each once.
std::vector<core::KitIndex> choose_items(const core::Snapshot& snapshot, const core::KitHistory& history,
                                         const std::vector<std::string>& words);
core::TargetIndex choose_target(const std::string& name);
// The text as a moment; `otherwise` for an empty one.
core::Moment choose_moment(const std::string& text, const core::Moment& otherwise);

// What verbs that write ask of a survey: its waters along the channels, and the history of its kit.
struct KitBook {
  const core::Snapshot& snapshot;
  core::ChannelNetwork channels;
  core::SurveyWaters waters;
  core::KitHistory history;
  explicit KitBook(const core::Snapshot& of);  // which outlives this
  core::RecordSource source() const;           // with this machine's clock
  KitBook(const KitBook&) = delete;
  KitBook& operator=(const KitBook&) = delete;
};

// This machine's clock, with the offset of the newest visit that has one; else UTC.
core::Moment now_here(const core::Snapshot& snapshot);
core::Moment today_here(const core::Snapshot& snapshot);  // that local day, without a time of day
// Those named; else what a cleaning of the items has to meet at that time.
std::vector<core::TargetIndex> targets_of(const KitBook& book, const std::vector<core::KitIndex>& items,
                                          const core::Moment& at, const std::vector<std::string>& named);
// Writes it, and tells warnings first, then what was recorded and what follows.
void store_record(core::SurveyFile& file, const core::Recorded& recorded, std::ostream& err);
std::string agents_known();  // "bleach, Virkon S, ..."

}  // namespace brookmark::viewer
