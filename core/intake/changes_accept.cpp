#include <algorithm>
#include <set>

#include "core/base/no_answer.hpp"
#include "core/intake/changes_internal.hpp"

namespace brookmark::core {

namespace {

// "sites" fits "sites/1/name", and so does "sites/1"; "sit" does not.
bool fits(const std::string& word, const std::string& id) {
  return id.starts_with(word) && (id.size() == word.size() || id[word.size()] == '/');
}

std::set<std::size_t> chosen(const ChangeList& list, const std::vector<std::string>& words) {
  std::set<std::size_t> taken;
  for (const std::string& word : words) {
    bool fitted = word == "all";
    for (std::size_t i = 0; i < list.changes.size(); ++i) {
      const Change& change = list.changes[i];
      if (word == "all") {
        if (change.state == ChangeState::kTheirs) taken.insert(i);
        continue;
      }
      if (!fits(word, change.id)) continue;
      fitted = true;
      if (change.state != ChangeState::kImpossible)
        taken.insert(i);
      else if (change.id == word)
        throw Error(ErrorCode::kBadUse, "\"" + word + "\" cannot be taken: " + change.note);
    }
    if (!fitted && std::any_of(list.here.begin(), list.here.end(),
                               [&](const std::string& id) { return fits(word, id); }))
      throw AnswerIsNo("\"" + word + "\" stands in the survey already, so nothing of it is left to take");
    if (!fitted) throw Error(ErrorCode::kBadUse, "there is no change \"" + word + "\" to accept");
  }
  return taken;
}

// A row that others still belong to cannot go.
void expect_free(const Change& change, const Snapshot& snapshot, const std::set<std::string>& going) {
  const std::string still = what_belongs_to(snapshot, change.layer, change.key, going);
  if (still.empty()) return;
  throw Error(ErrorCode::kBadUse, word_of_layer(change.layer) + " \"" +
                                      (change.code.empty() ? change.key : change.code) +
                                      "\" cannot be removed while " + still +
                                      " here; remove those first, or take only the other changes");
}

// A day typed beside a sample is the visit's.
std::string layer_of(const Change& change) {
  return change.visit.empty() ? change.layer : "visits";
}
const std::string& key_of(const Change& change) {
  return change.visit.empty() ? change.key : change.visit;
}

// Two samples of a visit cannot give it two days.
void expect_one_value(const std::vector<const Change*>& changes) {
  std::map<std::pair<std::string, std::string>, const Change*> seen;
  for (const Change* change : changes)
    if (const auto [at, is_new] = seen.try_emplace({key_of(*change), change->column}, change);
        !is_new && at->second->theirs != change->theirs)
      throw Error(ErrorCode::kBadUse, "\"" + at->second->id + "\" and \"" + change->id +
                                          "\" give one visit two values of " + change->column +
                                          "; take one of them");
}

// Names last: what was noted before is written into the note that is then there.
int turn_of(const Change& change) {
  if (change.kind == ChangeKind::kPlace) return 0;  // an accuracy given with the new place stays
  if (change.layer != "records") return 1;
  return change.column == "verbatim_name" ? 2
         : change.column == "taxon"       ? 3
         : change.column == "taxon_key"   ? 4
                                          : 1;
}

}  // namespace

EditBatch accept_changes(const ChangeList& list, const std::vector<std::string>& words,
                         const Snapshot& snapshot, const ReturnedFile& returned) {
  const std::set<std::size_t> taken = chosen(list, words);
  EditBatch batch;
  batch.kind = "take changes";
  batch.summary =
      std::to_string(taken.size()) + (taken.size() == 1 ? " change" : " changes") + " from " + returned.name;
  const std::string note = "as set in a GeoPackage of " + returned.exported_utc + " that came back";
  std::set<std::string> going;
  for (const std::size_t number : taken)
    if (list.changes[number].kind == ChangeKind::kRemoved) going.insert(list.changes[number].key);
  std::vector<Taxon> taxa;
  std::vector<Edit> additions, removals;
  // Whoever is belonged to stands before what belongs to it.
  for (const char* layer_name : {"waters", "sites", "visits", "samples", "records", "measurements",
                                 "outfalls", "reaches", "catchments"}) {
    const auto layer = std::find_if(returned.layers.begin(), returned.layers.end(),
                                    [&](const ReturnedLayer& l) { return l.name == layer_name; });
    const auto ours = rows_by_key(snapshot, layer_name);
    std::vector<const Change*> of_rows;
    for (const std::size_t number : taken) {
      const Change& change = list.changes[number];
      if (layer_of(change) != layer_name) continue;
      if (change.kind == ChangeKind::kRemoved) {
        expect_free(change, snapshot, going);
        removals.emplace_back(Remove{*table_of(change.layer), change.key});
      } else if (change.kind == ChangeKind::kAdded) {
        MadeRow made = make_row(*layer, layer->rows[change.row], returned, note);
        taxa.insert(taxa.end(), made.taxa.begin(), made.taxa.end());
        additions.push_back(edit_to_add(made.row));
      } else {
        of_rows.push_back(&change);
      }
    }
    expect_one_value(of_rows);
    std::stable_sort(of_rows.begin(), of_rows.end(),
                     [](const Change* a, const Change* b) { return turn_of(*a) < turn_of(*b); });
    std::map<std::string, AnyRow> replaced;
    for (const Change* change : of_rows) {
      AnyRow& row = replaced.try_emplace(key_of(*change), ours.at(key_of(*change))).first->second;
      if (change->kind == ChangeKind::kPlace) {
        static_cast<void>(set_shape_of(row, layer->rows[change->row], returned.crs, note));
        continue;
      }
      const NameTaken name = take_cell(row, change->column, change->theirs, returned);
      taxa.insert(taxa.end(), name.taxa.begin(), name.taxa.end());
    }
    for (auto& [key, row] : replaced) {
      static_cast<void>(follow_in_writing(ours.at(key), row));
      if (const std::string wrong = complaint_of_change(ours.at(key), row); !wrong.empty())
        throw Error(ErrorCode::kBadUse,
                    word_of_layer(layer_name) + " \"" + called(row) + "\" cannot be taken so: " + wrong);
      additions.push_back(edit_to_replace(row));
    }
  }
  std::set<std::string> told;
  for (Taxon& taxon : taxa)
    if (told.insert(taxon.key).second) batch.edits.emplace_back(AddTaxon{std::move(taxon)});
  for (Edit& edit : additions) batch.edits.push_back(std::move(edit));
  std::reverse(removals.begin(), removals.end());  // what belongs to a row goes before it
  for (Edit& edit : removals) batch.edits.push_back(std::move(edit));
  return batch;
}

}  // namespace brookmark::core
