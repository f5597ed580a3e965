#include <algorithm>

#include "core/base/text.hpp"
#include "core/base/uuid.hpp"
#include "core/reference/reference.hpp"
#include "viewer/actions/entry_actions.hpp"
#include "viewer/actions/tally_internal.hpp"

namespace brookmark::viewer {
namespace {

// As in an import: no tray holds more. Common practice, no source.
constexpr std::int64_t kMostAnimals = 1000000000;

void set_count(core::Record& r, std::int64_t n) {
  r.quantity = n == 0 ? core::QuantityKind::kAbsent : core::QuantityKind::kCount;
  r.count_min = r.count_max = n;
  r.class_scheme.clear();
  r.class_code.clear();
  r.verbatim_quantity = std::to_string(n);
}

void set_present(core::Record& r) {
  r.quantity = core::QuantityKind::kPresent;
  r.count_min.reset();
  r.count_max.reset();
  r.class_scheme.clear();
  r.class_code.clear();
  r.verbatim_quantity = "present";
}

void set_class(core::Record& r, const core::AbundanceClass& c) {
  r.quantity = core::QuantityKind::kAbundanceClass;
  r.class_scheme = c.scheme;
  r.class_code = r.verbatim_quantity = c.code;
  r.count_min = c.min_count;
  r.count_max.reset();
  if (c.max_count >= 0) r.count_max = c.max_count;
}

std::vector<const core::AbundanceClass*> classes_of(const std::string& scheme) {
  std::vector<const core::AbundanceClass*> list;
  for (const core::AbundanceClass& c : core::abundance_classes())
    if (c.scheme == scheme) list.push_back(&c);
  return list;
}

const core::AbundanceClass* class_named(const std::string& scheme, const std::string& code) {
  for (const core::AbundanceClass* c : classes_of(scheme))
    if (core::to_lower_ascii(c->code) == core::to_lower_ascii(code)) return c;
  return nullptr;
}

core::LifeStage stage_for(const EntrySheet& sheet, const NameChoice& name) {
  return name.stage != core::LifeStage::kUnknown ? name.stage : sheet.stage;
}

std::string qualifier_for(const EntrySheet& sheet, const NameChoice& name) {
  return name.qualifier.empty() && sheet.unsure ? "?" : name.qualifier;
}

// The line of the same taxon, stage and doubt, or a new row for it.
TallyChange line_for(const EntrySheet& sheet, const NameChoice& name) {
  TallyChange change;
  core::Record row;
  row.sample_key = sheet.sample_key;
  row.taxon_key = name.lineage.front().key;
  row.verbatim_name = name.verbatim;
  row.match = name.match;
  row.stage = stage_for(sheet, name);
  row.qualifier = qualifier_for(sheet, name);
  for (std::size_t i = 0; i < sheet.records.size(); ++i) {
    const core::Record& r = sheet.records[i];
    if (r.taxon_key != row.taxon_key || r.stage != row.stage || r.qualifier != row.qualifier) continue;
    change.line = i;
    change.row = r;
    return change;
  }
  row.key = core::random_uuid();
  change.row = row;
  return change;
}

// A step up or down among the classes of the row's scheme; no row where it falls below the first.
void step_class(TallyChange& change, int by) {
  const auto classes = classes_of(change.row->class_scheme);
  std::ptrdiff_t at = 0;
  for (std::size_t i = 0; i < classes.size(); ++i)
    if (classes[i]->code == change.row->class_code) at = static_cast<std::ptrdiff_t>(i);
  at += by;
  if (at < 0) {
    change.row.reset();
    return;
  }
  const auto top = static_cast<std::ptrdiff_t>(classes.size()) - 1;
  if (at > top) {
    change.nothing_new = true;
    return;
  }
  set_class(*change.row, *classes[static_cast<std::size_t>(at)]);
}

TallyChange refused(TallyChange change, std::string sentence) {
  change.trouble = std::move(sentence);
  return change;
}

std::string stands_as(const core::Record& r) {
  return "It stands as " + quantity_in_words(r);
}

}  // namespace

TallyChange one_more(const EntrySheet& sheet, const NameChoice& name) {
  TallyChange change = line_for(sheet, name);
  core::Record& row = *change.row;
  const bool fresh = !change.line || row.quantity == core::QuantityKind::kAbsent;
  switch (sheet.way) {
    case TallyWay::kCount:
      if (!fresh && row.quantity == core::QuantityKind::kAbundanceClass)
        return refused(change, stands_as(row) + "; a count is set by typing = and the number.");
      set_count(row, !fresh && row.quantity == core::QuantityKind::kCount ? *row.count_min + 1 : 1);
      break;
    case TallyWay::kClass:
      if (!fresh && row.quantity == core::QuantityKind::kCount)
        return refused(change, stands_as(row) + " animals; a class is set by typing its letter.");
      if (!fresh && row.quantity == core::QuantityKind::kAbundanceClass) {
        step_class(change, 1);
      } else {
        const auto classes = classes_of(sheet.scheme);
        if (classes.empty()) return refused(change, "There are no classes named " + sheet.scheme + ".");
        set_class(row, *classes.front());
      }
      break;
    case TallyWay::kPresent:
      if (!fresh)
        change.nothing_new = true;
      else
        set_present(row);
      break;
  }
  return change;
}

TallyChange changed_by(const EntrySheet& sheet, std::size_t line, int by) {
  TallyChange change;
  change.line = line;
  change.row = sheet.records[line];
  core::Record& row = *change.row;
  if (row.quantity == core::QuantityKind::kAbundanceClass) {
    step_class(change, by);
  } else if (row.quantity == core::QuantityKind::kCount) {
    const std::int64_t n = *row.count_min + by;
    if (n < 1)
      change.row.reset();
    else
      set_count(row, std::min(n, kMostAnimals));
  } else if (by < 0) {
    change.row.reset();
  } else {
    set_count(row, by);
  }
  return change;
}

TallyChange with_number(const EntrySheet& sheet, const NameChoice& name, const std::string& typed) {
  TallyChange change = line_for(sheet, name);
  core::Record& row = *change.row;
  const bool fresh = !change.line;
  std::string words(core::trim(typed));
  if (words.empty()) {
    if (fresh || row.quantity == core::QuantityKind::kAbsent)
      set_present(row);
    else
      change.nothing_new = true;
    return change;
  }
  if (const core::AbundanceClass* c =
          sheet.way == TallyWay::kClass ? class_named(sheet.scheme, words) : nullptr) {
    set_class(row, *c);
    return change;
  }
  const char sign = words.front();
  const bool sets = sign == '=', takes = sign == '-';
  if (sets || takes || sign == '+') words = core::trim(std::string_view(words).substr(1));
  const auto n = core::parse_integer(words);
  if (!n || *n < 0) {
    std::string also;
    if (sheet.way == TallyWay::kClass) {
      for (const core::AbundanceClass* c : classes_of(sheet.scheme))
        also += (also.empty() ? "" : ", ") + c->code;
      also = ", or a class: " + also;
    }
    return refused(change, "\u201C" + typed + "\u201D is no number of animals; write 12, =12, -2, 0" + also +
                               ", or nothing for present.");
  }
  if (*n > kMostAnimals) return refused(change, "So many animals are in no tray; the limit is 1000000000.");
  if (sets || fresh) {
    if (takes) return refused(change, "There is none yet to take away.");
    set_count(row, *n);
    return change;
  }
  if (row.quantity == core::QuantityKind::kAbundanceClass)
    return refused(change,
                   stands_as(row) + "; write =" + std::to_string(*n) + " to put the count in its place.");
  const bool counted = row.quantity == core::QuantityKind::kCount;
  if (takes) {
    if (!counted || *n > *row.count_min)
      return refused(change, stands_as(row) + "; so many cannot be taken away.");
    if (*n == *row.count_min)
      change.row.reset();
    else
      set_count(row, *row.count_min - *n);
  } else if (*n == 0) {
    if (row.quantity == core::QuantityKind::kAbsent)
      change.nothing_new = true;
    else
      return refused(change, stands_as(row) + "; write =0 for looked for and not found.");
  } else {
    set_count(row, std::min((counted ? *row.count_min : 0) + *n, kMostAnimals));
  }
  return change;
}

std::string quantity_in_words(const core::Record& r) {
  switch (r.quantity) {
    case core::QuantityKind::kPresent:
      return "present";
    case core::QuantityKind::kAbsent:
      return "looked for, not found";
    case core::QuantityKind::kCount:
      return std::to_string(r.count_min.value_or(0));
    case core::QuantityKind::kAbundanceClass:
      break;
  }
  const core::AbundanceClass* c = class_named(r.class_scheme, r.class_code);
  return r.class_code + (c ? " (" + c->meaning + ")" : "");
}

std::size_t found_lines(const EntrySheet& sheet) {
  return static_cast<std::size_t>(
      std::count_if(sheet.records.begin(), sheet.records.end(),
                    [](const core::Record& r) { return r.quantity != core::QuantityKind::kAbsent; }));
}

}  // namespace brookmark::viewer
