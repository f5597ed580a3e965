#include "viewer/actions/entry_actions.hpp"

#include <algorithm>

#include "core/base/uuid.hpp"
#include "core/survey/rows.hpp"
#include "viewer/actions/common_taxa.hpp"
#include "viewer/actions/readings_internal.hpp"
#include "viewer/actions/tally_internal.hpp"
#include "viewer/actions/visit_form.hpp"

namespace brookmark::viewer {
namespace {

// Undo beyond this reads the file instead.
constexpr std::size_t kMostSteps = 500;

std::string name_of(const core::Record& r) {
  return r.verbatim_name;
}

struct OnSheet {
  State& state;
  const Model& model;

  EntrySheet& sheet() const { return *state.entry; }

  // The sheet is changed by `change` once its edit is on the way.
  template <class Change>
  void keep(core::EditBatch batch, Change change) const {
    EntrySheet& s = sheet();
    if (s.steps.size() >= kMostSteps) s.steps.erase(s.steps.begin());
    s.steps.push_back({batch.summary, s.kept, s.visit_key, s.sample_key, s.records, s.measurements});
    s.undone.clear();
    s.edited = true;
    change();
    Order order;
    order.batch = std::move(batch);
    order.reread = false;
    order.of_sheet = true;
    state.orders.push_back(std::move(order));
  }

  void open(core::SiteIndex site) const {
    const core::Snapshot& s = model.snapshot();
    const std::size_t i = site.value();
    EntrySheet fresh;
    fresh.site_key = s.sites.key[i];
    fresh.site_code = s.sites.code[i];
    fresh.site_name = s.sites.name[i];
    fresh.common = common_taxa(s);
    if (state.entry) {
      fresh.way = state.entry->way;
      fresh.scheme = state.entry->scheme;
      fresh.focus = state.entry->focus;
    }
    state.entry = std::move(fresh);
    ++sheet().focus;
  }

  void fill(core::SampleIndex sample) const {
    const core::Snapshot& s = model.snapshot();
    EntrySheet& e = sheet();
    e.form = e.kept = form_of(s, sample);
    e.visit_key = s.visits.key[s.samples.visit[sample.value()].value()];
    e.sample_key = s.samples.key[sample.value()];
    e.records.clear();
    for (std::size_t r = s.samples.record_begin[sample.value()];
         r < s.samples.record_begin[sample.value() + 1]; ++r)
      e.records.push_back(core::record_row(s, core::RecordIndex(r)));
    e.lineages.clear();
    for (std::size_t r = s.samples.record_begin[sample.value()];
         r < s.samples.record_begin[sample.value() + 1]; ++r) {
      const core::TaxonIndex taxon = s.records.taxon[r];
      std::vector<core::Taxon>& lineage = e.lineages[std::string(s.taxa.key[taxon.value()])];
      lineage.clear();
      for (core::TaxonIndex t = taxon; t.has_value(); t = s.taxa.parent[t.value()])
        lineage.push_back(core::taxon_row(s, t));
    }
    e.measurements.clear();
    e.readings.clear();
    for (std::size_t m = 0; m < s.measurements.size(); ++m)
      if (s.measurements.visit[m] == s.samples.visit[sample.value()] && !s.measurements.sample[m].has_value())
        e.measurements.push_back(core::measurement_row(s, m));
    show_readings(e);
    e.steps.clear();
    e.undone.clear();
    e.edited = false;
  }

  static void show_readings(EntrySheet& e) {
    e.readings.clear();
    e.reading_troubles.clear();
    for (const core::Measurement& m : e.measurements)
      if (const std::string id = reading_id(m); !id.empty()) e.readings[id] = m.verbatim_value;
  }

  bool keep_form() const {
    EntrySheet& e = sheet();
    e.form_trouble.clear();
    e.trouble_at.reset();
    if (!e.sample_key.empty() && e.form == e.kept) return true;
    FormReading read = read_form(e, model.snapshot(), core::latest_day_anywhere());
    if (!read.trouble.empty()) {
      e.form_trouble = read.trouble;
      e.trouble_at = read.at;
      return false;
    }
    core::EditBatch batch;
    const bool fresh_visit = e.visit_key.empty(), fresh_sample = e.sample_key.empty();
    if (fresh_visit) read.visit.key = core::random_uuid();
    if (fresh_sample) read.sample.key = core::random_uuid();
    read.sample.visit_key = read.visit.key;
    batch.kind = fresh_sample ? "new sample" : "change visit";
    batch.summary =
        (fresh_visit    ? "Visit to " + e.site_code + " on " + e.form[EntryField::kDate] + ", sample "
         : fresh_sample ? "Sample "
                        : "Changed visit and sample ") +
        read.sample.code;
    if (fresh_visit)
      batch.edits.push_back(core::AddVisit{read.visit});
    else
      batch.edits.push_back(core::Replace<core::Visit>{read.visit});
    if (fresh_sample)
      batch.edits.push_back(core::AddSample{read.sample});
    else
      batch.edits.push_back(core::Replace<core::Sample>{read.sample});
    keep(std::move(batch), [&] {
      e.kept = e.form;
      e.visit_key = read.visit.key;
      e.sample_key = read.sample.key;
    });
    return true;
  }

  void keep_line(const TallyChange& change, const std::vector<core::Taxon>& lineage) const {
    EntrySheet& e = sheet();
    e.number_trouble = change.trouble;
    if (!change.trouble.empty() || change.nothing_new || e.sample_key.empty()) return;
    core::EditBatch batch;
    batch.kind = "tally";
    if (change.row) {
      for (const core::Taxon& taxon : lineage) batch.edits.push_back(core::AddTaxon{taxon});
      batch.summary = name_of(*change.row) + ": " + quantity_in_words(*change.row);
      if (change.line)
        batch.edits.push_back(core::Replace<core::Record>{*change.row});
      else
        batch.edits.push_back(core::AddRecord{*change.row});
    } else {
      const core::Record& gone = e.records[*change.line];
      batch.summary = name_of(gone) + " taken off the tally";
      batch.edits.push_back(core::Remove{core::TableName::kRecord, gone.key});
    }
    batch.summary += " (" + e.kept[EntryField::kCode] + ")";
    keep(std::move(batch), [&] {
      e.touched.reset();
      if (!change.row) {
        e.records.erase(e.records.begin() + static_cast<std::ptrdiff_t>(*change.line));
        return;
      }
      e.touched = change.row->key;
      if (!lineage.empty()) e.lineages[change.row->taxon_key] = lineage;
      if (change.line)
        e.records[*change.line] = *change.row;
      else
        e.records.push_back(*change.row);
    });
  }

  void look_up() const {
    EntrySheet& e = sheet();
    e.lit = 0;
    e.choices = name_choices(e.typed, model.snapshot(), model.names());
  }

  void operator()(const StartEntry& a) const {
    if (a.site.value() >= model.snapshot().sites.size()) return;
    open(a.site);
    sheet().form = fresh_form(model.snapshot(), a.site, a.now);
  }
  void operator()(const ResumeEntry& a) const {
    if (a.sample.value() >= model.snapshot().samples.size()) return;
    open(model.snapshot().samples.site[a.sample.value()]);
    fill(a.sample);
    sheet().part = EntryPart::kTally;
  }
  void operator()(const AnotherSample&) const {
    EntrySheet& e = sheet();
    if (e.sample_key.empty() || !keep_form()) return;
    const std::string before = e.kept[EntryField::kCode];
    e.sample_key.clear();
    e.records.clear();
    e.touched.reset();
    e.steps.clear();
    e.form.kind = core::SampleKind::kReplicate;
    std::size_t n = 2;
    const std::string stem = before.substr(0, before.find(" r"));
    const auto taken = [&](const std::string& code) {
      return code == before || model.snapshot().find_sample(code);
    };
    while (taken(stem + " r" + std::to_string(n))) ++n;
    e.form[EntryField::kCode] = stem + " r" + std::to_string(n);
    e.part = EntryPart::kVisit;
  }
  void operator()(const TypeField& a) const { sheet().form[a.field] = a.words; }
  void operator()(const ChooseSampleKind& a) const { sheet().form.kind = a.kind; }
  void operator()(const ShowEntryPart& a) const {
    if (sheet().part == EntryPart::kVisit && a.part != EntryPart::kVisit && !keep_form()) return;
    sheet().part = a.part;
    ++sheet().focus;
  }
  void operator()(const TapTaxon& a) const {
    if (a.button >= sheet().common.size()) return;
    const NameChoice& name = sheet().common[a.button].name;
    keep_line(one_more(sheet(), name), name.lineage);
  }
  void operator()(const TypeName& a) const {
    sheet().typed = a.words;
    sheet().chosen.reset();
    sheet().number_trouble.clear();
    look_up();
  }
  void operator()(const LightChoice& a) const {
    EntrySheet& e = sheet();
    if (e.choices.empty()) return;
    const auto last = static_cast<std::ptrdiff_t>(e.choices.size()) - 1;
    e.lit = static_cast<std::size_t>(
        std::clamp<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(e.lit) + a.by, 0, last));
  }
  void operator()(const TakeChoice& a) const {
    EntrySheet& e = sheet();
    const std::size_t row = a.row.value_or(e.lit);
    if (row >= e.choices.size()) {
      ++e.focus;
      return;
    }
    e.chosen = e.choices[row];
    e.number.clear();
    e.number_trouble.clear();
    ++e.focus;
    if (e.way == TallyWay::kPresent) (*this)(TakeNumber{});
  }
  void operator()(const TypeNumber& a) const { sheet().number = a.words; }
  void operator()(const TakeNumber&) const {
    EntrySheet& e = sheet();
    ++e.focus;
    if (!e.chosen) return;
    const NameChoice name = *e.chosen;
    keep_line(with_number(e, name, e.number), name.lineage);
    if (!e.number_trouble.empty()) return;
    e.chosen.reset();
    e.number.clear();
    e.typed.clear();
    e.choices.clear();
    e.lit = 0;
  }
  void operator()(const LeaveName&) const {
    EntrySheet& e = sheet();
    ++e.focus;
    e.number.clear();
    e.number_trouble.clear();
    if (e.chosen) {
      e.chosen.reset();
      return;
    }
    e.typed.clear();
    e.choices.clear();
    e.lit = 0;
  }
  void operator()(const ChangeCount& a) const {
    if (a.line < sheet().records.size() && a.by != 0) keep_line(changed_by(sheet(), a.line, a.by), {});
  }
  void operator()(const RemoveLine& a) const {
    if (a.line >= sheet().records.size()) return;
    TallyChange change;
    change.line = a.line;
    keep_line(change, {});
  }
  void operator()(const ChooseTallyWay& a) const {
    sheet().way = a.way;
    if (!a.scheme.empty()) sheet().scheme = a.scheme;
    sheet().number_trouble.clear();
  }
  void operator()(const ChooseStage& a) const { sheet().stage = a.stage; }
  void operator()(const ChooseUnsure& a) const { sheet().unsure = a.unsure; }
  void operator()(const TypeReading& a) const { sheet().readings[a.quantity] = a.words; }
  void operator()(const KeepReading& a) const {
    EntrySheet& e = sheet();
    if (e.visit_key.empty()) return;
    const ReadingChange change = read_reading(e, a.quantity);
    e.reading_troubles.erase(a.quantity);
    if (!change.trouble.empty() || !change.doubt.empty())
      e.reading_troubles[a.quantity] = change.trouble.empty() ? change.doubt : change.trouble;
    if (!change.trouble.empty() || change.nothing_new) return;
    core::EditBatch batch;
    batch.kind = "reading";
    const core::Measurement& row = change.row ? *change.row : e.measurements[*change.at];
    batch.summary = row.quantity + (change.row ? ": " + row.verbatim_value : " taken away") + " (" +
                    e.kept[EntryField::kCode] + ")";
    if (!change.row)
      batch.edits.push_back(core::Remove{core::TableName::kMeasurement, row.key});
    else if (change.at)
      batch.edits.push_back(core::Replace<core::Measurement>{row});
    else
      batch.edits.push_back(core::AddMeasurement{row});
    keep(std::move(batch), [&] {
      if (!change.row)
        e.measurements.erase(e.measurements.begin() + static_cast<std::ptrdiff_t>(*change.at));
      else if (change.at)
        e.measurements[*change.at] = *change.row;
      else
        e.measurements.push_back(*change.row);
    });
  }
  void operator()(const UndoOnSheet&) const {
    if (sheet().steps.empty() && sheet().sample_key.empty()) return;  // nothing of this visit is stored yet
    Order order;
    order.what = Order::What::kUndo;
    order.of_sheet = true;
    order.reread = sheet().steps.empty();
    state.orders.push_back(std::move(order));
  }
  void operator()(const RedoOnSheet&) const {
    const EntrySheet& e = sheet();
    if (e.undone.empty() && (e.sample_key.empty() || e.edited)) return;
    Order order;
    order.what = Order::What::kRedo;
    order.of_sheet = true;
    order.reread = e.undone.empty();
    state.orders.push_back(std::move(order));
  }
  void operator()(const CloseEntry&) const {
    // What was typed into the form is kept where it can be; else the sheet stays and says why.
    EntrySheet& e = sheet();
    const bool begun = !e.sample_key.empty();
    if (begun && e.form != e.kept && !keep_form()) {
      e.part = EntryPart::kVisit;
      return;
    }
    state.show_sample = e.sample_key;
    state.entry.reset();
    Order order;
    order.what = Order::What::kReread;
    state.orders.push_back(std::move(order));
  }
};

// As it stands now, under the name of an edit.
TallyStep step_of(const EntrySheet& e, std::string summary) {
  return {std::move(summary), e.kept, e.visit_key, e.sample_key, e.records, e.measurements};
}

void show_step(EntrySheet& e, TallyStep step) {
  e.kept = step.form;
  e.visit_key = step.visit_key;
  e.sample_key = step.sample_key;
  e.records = std::move(step.records);
  e.measurements = std::move(step.measurements);
  e.touched.reset();
  OnSheet::show_readings(e);
  if (e.sample_key.empty()) e.part = EntryPart::kVisit;
}

void step_back(EntrySheet& e) {
  TallyStep step = std::move(e.steps.back());
  e.steps.pop_back();
  e.undone.push_back(step_of(e, step.summary));
  if (!step.sample_key.empty()) e.form = step.form;  // else what was typed stays in the fields
  show_step(e, std::move(step));
}

void step_forward(EntrySheet& e) {
  TallyStep step = std::move(e.undone.back());
  e.undone.pop_back();
  e.steps.push_back(step_of(e, step.summary));
  // What was typed since, and is not stored, stays in the fields.
  if (e.form == e.kept) e.form = step.form;
  show_step(e, std::move(step));
}

}  // namespace

void apply_entry(const EntryAction& action, State& state, const Model& model) {
  const bool opens =
      std::holds_alternative<StartEntry>(action) || std::holds_alternative<ResumeEntry>(action);
  if (!opens && !state.entry) return;
  std::visit(OnSheet{state, model}, action);
  // Hands go to and fro between taps and keys: after a tap, letters go to the name again.
  const bool typing = std::holds_alternative<TypeName>(action) ||
                      std::holds_alternative<TypeNumber>(action) ||
                      std::holds_alternative<LightChoice>(action);
  if (state.entry && !typing && state.entry->part == EntryPart::kTally) ++state.entry->focus;
}

void settle_sheet(const Order& order, const OrderOutcome& outcome, State& state) {
  if (!order.of_sheet || !state.entry) return;
  EntrySheet& e = *state.entry;
  const auto read_anew = [&] {
    Order anew;
    anew.what = Order::What::kReread;
    anew.of_sheet = true;
    state.orders.push_back(anew);
  };
  if (order.what == Order::What::kStore && !outcome.done) {
    if (!e.steps.empty()) step_back(e);
    e.undone.clear();  // the file never had it
    // What was tapped on top of it in the same moment goes too: it may build on what is not there.
    std::erase_if(state.orders, [](const Order& o) { return o.of_sheet; });
    read_anew();
  } else if (order.what == Order::What::kUndo && outcome.done && !outcome.reread) {
    if (!e.steps.empty() && e.steps.back().summary == outcome.undone)
      step_back(e);
    else
      read_anew();  // somebody else's edit was the newest one
  } else if (order.what == Order::What::kRedo && outcome.done && !outcome.reread) {
    if (!e.undone.empty() && e.undone.back().summary == outcome.redone)
      step_forward(e);
    else
      read_anew();
  } else if (order.what == Order::What::kRedo && !outcome.done) {
    e.undone.clear();
  }
}

void refill_sheet(State& state, const Model& model) {
  if (!state.entry) return;
  EntrySheet& e = *state.entry;
  const core::Snapshot& s = model.snapshot();
  if (e.sample_key.empty()) return;
  for (std::size_t i = 0; i < s.samples.size(); ++i)
    if (s.samples.key[i] == e.sample_key) {
      OnSheet{state, model}.fill(core::SampleIndex(i));
      return;
    }
  state.entry.reset();
}

}  // namespace brookmark::viewer
