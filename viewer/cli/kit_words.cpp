#include "viewer/cli/kit_words.hpp"

#include <algorithm>
#include <ostream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::viewer {

namespace {

std::string list_of(const std::vector<std::string>& words) {
  return words.empty() ? "none" : core::joined(words, ", ");
}

}  // namespace

core::SiteIndex choose_site(const core::Snapshot& snapshot, const std::string& code) {
  if (const auto site = snapshot.find_site(code)) return *site;
  throw Error(ErrorCode::kNotFound,
              "there is no site \"" + code +
                  "\" in this survey; `brookmark check SURVEY` and the map know the codes");
}

core::KitIndex choose_kit(const core::Snapshot& snapshot, const core::KitHistory& history,
                          const std::string& code) {
  if (const auto kit = history.find(code)) return *kit;
  std::vector<std::string> codes;
  for (const core::Kit& kit : snapshot.kit) codes.push_back(kit.code);
  throw Error(ErrorCode::kNotFound,
              "there is no item of kit \"" + code + "\" in this survey; it has " + list_of(codes));
}

std::vector<core::KitIndex> choose_items(const core::Snapshot& snapshot, const core::KitHistory& history,
                                         const std::vector<std::string>& words) {
  std::vector<core::KitIndex> items;
  const auto add = [&](core::KitIndex item) {
    if (std::find(items.begin(), items.end(), item) == items.end()) items.push_back(item);
  };
  for (const std::string& word : words) {
    if (!word.starts_with("set:")) {
      add(choose_kit(snapshot, history, word));
      continue;
    }
    const std::string set = core::fold_name(word.substr(4));
    bool any = false;
    std::vector<std::string> sets;
    for (std::size_t k = 0; k < snapshot.kit.size(); ++k) {
      const core::Kit& kit = snapshot.kit[k];
      if (!kit.set.empty() && std::find(sets.begin(), sets.end(), kit.set) == sets.end())
        sets.push_back(kit.set);
      if (kit.retired || core::fold_name(kit.set) != set || set.empty()) continue;
      add(core::KitIndex(k));
      any = true;
    }
    if (!any)
      throw Error(ErrorCode::kNotFound, "there is no set \"" + word.substr(4) +
                                            "\" of kit in this survey; it has " + list_of(sets));
  }
  return items;
}

core::TargetIndex choose_target(const std::string& name) {
  if (const auto target = core::find_target(name)) return *target;
  std::vector<std::string> names;
  for (const core::HygieneTarget& target : core::hygiene_targets()) names.push_back(target.name);
  throw Error(
      ErrorCode::kNotFound,
      "\"" + name +
          "\" is in none of the cleaning rules, so no cleaning is known to be enough against it; they know " +
          list_of(names));
}

core::Moment choose_moment(const std::string& text, const core::Moment& otherwise) {
  if (text.empty()) return otherwise;
  if (const auto moment = core::parse_moment(text)) return *moment;
  throw Error(ErrorCode::kBadInput,
              "\"" + text + "\" is no time; write 2025-06-10, 2025-06-10T09:30 or 2025-06-10T09:30+01:00");
}

KitBook::KitBook(const core::Snapshot& of)
    : snapshot(of),
      channels(core::build_channels(of.reaches, {}, of.waters)),
      waters(of, &channels),
      history(of, waters) {}

core::RecordSource KitBook::source() const {
  return {snapshot, waters, history, now_here(snapshot)};
}

core::Moment now_here(const core::Snapshot& snapshot) {
  return core::local_moment(snapshot, core::parse_moment(core::now_utc()).value());
}

core::Moment today_here(const core::Snapshot& snapshot) {
  core::Moment today = now_here(snapshot);
  today.minute_of_day.reset();
  return today;
}

std::vector<core::TargetIndex> targets_of(const KitBook& book, const std::vector<core::KitIndex>& items,
                                          const core::Moment& at, const std::vector<std::string>& named) {
  if (named.empty()) return core::targets_to_meet(book.source(), items, at);
  std::vector<core::TargetIndex> targets;
  for (const std::string& name : named) {
    const core::TargetIndex target = choose_target(name);
    if (std::find(targets.begin(), targets.end(), target) == targets.end()) targets.push_back(target);
  }
  return targets;
}

void store_record(core::SurveyFile& file, const core::Recorded& recorded, std::ostream& err) {
  for (const std::string& warning : recorded.warnings) err << "warning: " << warning << '\n';
  file.apply(recorded.batch);
  err << "recorded: " << recorded.batch.summary << '\n';
  for (const std::string& note : recorded.notes) err << "note: " << note << '\n';
}

std::string agents_known() {
  std::vector<std::string> names;
  for (const core::CleaningAgent& agent : core::cleaning_agents()) names.push_back(agent.name);
  return list_of(names);
}

}  // namespace brookmark::viewer
