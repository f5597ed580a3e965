// The changed cells of one row, looked at together: what the row could not hold, and what says nothing without the other.
#include <algorithm>

#include "core/base/text.hpp"
#include "core/intake/changes_comparison_internal.hpp"

namespace brookmark::core {

AnyRow Comparison::with_changes(std::size_t first, const AnyRow& full) const {
  AnyRow row = full;
  for (std::size_t i = first; i < list_.changes.size(); ++i)
    if (list_.changes[i].state != ChangeState::kImpossible)
      static_cast<void>(take_cell(row, list_.changes[i].column, list_.changes[i].theirs, returned_));
  return row;
}

namespace {

// Changes of one row that are tied to each other, those of one column by themselves among them.
std::vector<std::vector<Change*>> tied_groups(std::vector<Change>& changes, std::size_t first) {
  std::map<std::set<std::string>, std::vector<Change*>> groups;
  for (std::size_t i = first; i < changes.size(); ++i)
    groups[tied_to(changes[i].column)].push_back(&changes[i]);
  std::vector<std::vector<Change*>> list;
  for (auto& [columns, group] : groups) list.push_back(std::move(group));
  return list;
}

std::string others_of(const std::vector<Change*>& group, const Change& change) {
  std::string names;
  for (const Change* other : group)
    if (other != &change) names += (names.empty() ? "" : ", ") + other->column;
  return names;
}

void refuse_group(const std::vector<Change*>& group, const std::string& wrong) {
  for (Change* change : group) {
    const std::string others = others_of(group, *change);
    if (change->state != ChangeState::kImpossible) change->note = wrong;
    change->state = ChangeState::kImpossible;
    if (!others.empty()) append_note(change->note, "refused together with " + others);
  }
}

}  // namespace

// Where one of them cannot be taken, or not unasked, the others are not either.
void Comparison::keep_tied(std::size_t first) {
  for (const std::vector<Change*>& group : tied_groups(list_.changes, first)) {
    if (group.size() < 2) continue;
    const auto bad = std::find_if(group.begin(), group.end(), [](const Change* change) {
      return change->state == ChangeState::kImpossible;
    });
    if (bad != group.end()) {
      refuse_group(group, (*bad)->column + ": " + (*bad)->note);
      continue;
    }
    const bool asks = std::any_of(group.begin(), group.end(),
                                  [](const Change* change) { return change->state != ChangeState::kTheirs; });
    for (Change* change : group)
      if (asks && change->state == ChangeState::kTheirs) {
        change->state = ChangeState::kAskFirst;
        append_note(change->note,
                    "it says nothing without " + others_of(group, *change) + "; name both, or neither");
      }
  }
}

void Comparison::check_together(std::size_t first, const AnyRow& full) {
  keep_tied(first);
  if (complaint_of_change(full, with_changes(first, full)).empty()) return;
  for (const std::vector<Change*>& group : tied_groups(list_.changes, first)) {
    if (group.front()->state == ChangeState::kImpossible) continue;
    AnyRow row = full;
    for (const Change* change : group)
      static_cast<void>(take_cell(row, change->column, change->theirs, returned_));
    if (const std::string wrong = complaint_of_change(full, row); !wrong.empty()) refuse_group(group, wrong);
  }
  if (const std::string wrong = complaint_of_change(full, with_changes(first, full)); !wrong.empty())
    for (std::size_t i = first; i < list_.changes.size(); ++i) refuse(list_.changes[i], wrong);
}

void Comparison::tell_writing(std::size_t first, const AnyRow& full) {
  AnyRow row = with_changes(first, full);
  const std::string words = follow_in_writing(full, row);
  if (words.empty()) return;
  const auto from = list_.changes.begin() + static_cast<std::ptrdiff_t>(first);
  list_.changes.erase(std::remove_if(from, list_.changes.end(),
                                     [&](const Change& change) {
                                       return !writing_complaint(change.layer, change.column).empty() &&
                                              change.theirs == cell_of(row, change.column);
                                     }),
                      list_.changes.end());
  for (std::size_t i = first; i < list_.changes.size(); ++i) {
    Change& change = list_.changes[i];
    const bool of_number = tied_to(change.column).contains(change.layer == "records" ? "count_min" : "value");
    if (of_number && change.state != ChangeState::kImpossible) append_note(change.note, words);
  }
}

}  // namespace brookmark::core
