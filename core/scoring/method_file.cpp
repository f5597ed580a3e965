#include <algorithm>
#include <fstream>
#include <iterator>
#include <tuple>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/reference/reference.hpp"
#include "core/scoring/method_file_internal.hpp"
#include "core/taxa/traits.hpp"

namespace brookmark::core {

namespace {

const std::vector<std::string> kDescriptorColumns = {"key", "value", "source_key", "source_detail",
                                                     "confirmed"};
const std::vector<std::string> kScoreColumns = {"name",  "members",    "except",        "life_stage", "score",
                                                "group", "source_key", "source_detail", "confirmed"};
const std::vector<std::string> kScoreMayHave = {"members_confirmed"};
const std::vector<std::string> kBandColumns = {"metric",        "rank",       "class",      "lower",
                                               "upper",         "lower_open", "upper_open", "source_key",
                                               "source_detail", "confirmed"};
const std::vector<std::string> kWeightColumns = {"group",      "code",          "weight",
                                                 "source_key", "source_detail", "confirmed"};

struct FormulaName {
  const char* name;
  FormulaKind kind;
};
constexpr FormulaName kFormulas[] = {
    {"sum of scores", FormulaKind::kSumOfScores},
    {"mean score", FormulaKind::kMeanScore},
    {"weighted mean", FormulaKind::kWeightedMean},
    {"group code weights", FormulaKind::kGroupCodeWeights},
    {"group weights", FormulaKind::kGroupWeights},
    {"mean code weight", FormulaKind::kMeanCodeWeight},
    {"richness", FormulaKind::kRichness},
    {"share of taxa", FormulaKind::kTaxaShare},
    {"share of animals", FormulaKind::kAnimalShare},
    {"dominance", FormulaKind::kDominance},
};

FormulaKind parse_formula(const MethodTable& table, std::size_t row) {
  const std::string text = table.cell(row, "value");
  std::string known;
  for (const FormulaName& formula : kFormulas) {
    if (text == formula.name) return formula.kind;
    known.append(known.empty() ? "" : ", ").append(formula.name);
  }
  table.fail(row, "value", "unknown formula \"" + text + "\"; the formulas are " + known);
}

std::optional<Rank> parse_level(const MethodTable& table, std::size_t row, std::string_view any) {
  const std::string text = table.cell(row, "value");
  if (text == any) return std::nullopt;
  const std::optional<Rank> rank = parse_rank(text);
  if (!rank)
    table.fail(row, "value",
               "unknown rank \"" + text + "\"; write one such as family, or " + std::string(any));
  return rank;
}

Flow parse_flow(const MethodTable& table, std::size_t row) {
  const std::string text = table.cell(row, "value");
  if (text == "running") return Flow::kRunning;
  if (text == "still") return Flow::kStill;
  if (text != "any") table.fail(row, "value", "write running, still or any, not \"" + text + "\"");
  return Flow::kUncertain;
}

std::vector<Season> parse_seasons(const MethodTable& table, std::size_t row) {
  std::vector<Season> seasons;
  for (const std::string& word : table.list(row, "value")) {
    bool known = false;
    for (const Season season : {Season::kWinter, Season::kSpring, Season::kSummer, Season::kAutumn})
      if (word == season_name(season)) {
        seasons.push_back(season);
        known = true;
      }
    if (!known)
      table.fail(row, "value", "unknown season \"" + word + "\"; write winter, spring, summer or autumn");
  }
  return seasons;
}

std::int64_t parse_whole(const MethodTable& table, std::size_t row, std::int64_t least, std::int64_t most) {
  const std::string text = table.cell(row, "value");
  const std::optional<std::int64_t> value = parse_integer(text);
  if (!value || *value < least || *value > most)
    table.fail(row, "value",
               "write a whole number from " + std::to_string(least) + " to " + std::to_string(most) +
                   ", not \"" + text + "\"");
  return *value;
}

bool is_good_id(std::string_view id) {
  return !id.empty() &&
         id.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789-") == std::string_view::npos;
}

// Reads the descriptor. Rows that carry a claim about the world must say where it comes from.
class DescriptorReader {
 public:
  DescriptorReader(MethodDraft& draft, const MethodTable& table, MethodFaults& faults)
      : draft_(draft), method_(draft.method), table_(table), faults_(faults) {}

  void read() {
    for (std::size_t row = 0; row < table_.size(); ++row) faults_.guard([&] { take(row); });
    if (method_.metrics.empty()) {
      faults_.add(
          {Severity::kError, method_.id + ".method.csv", 0, "",
           "the method has no metric; add a line with the key metric, and lines such as NAME.formula"});
      return;  // every other line of a metric would be at fault as well
    }
    for (const auto& [key, row] : draft_.descriptor_rows)
      faults_.guard([&, &key = key, row = row] { read_row(key, row); });
    for (const char* key : {"id", "title", "summary", "region", "flow", "level"}) require(key);
    for (const Metric& metric : method_.metrics)
      for (const char* field : {"title", "formula", "better"}) require(metric.id + "." + field);
  }

 private:
  void take(std::size_t row) {
    const std::string key = table_.cell(row, "key");
    state(key, row);
    if (key == "metric") {
      add_metric(row);
    } else if (!draft_.descriptor_rows.emplace(key, row).second) {
      table_.fail(row, "key", "the key \"" + key + "\" stands here a second time; keep one");
    }
  }

  // Keeps the line as written. A line that need not name a source, and does, must name a good one.
  void state(const std::string& key, std::size_t row) {
    MethodStatement statement{key, table_.cell(row, "value"), table_.cell(row, "source_key"),
                              table_.cell(row, "source_detail"), std::nullopt};
    if (!statement.source_key.empty()) statement.confirmed = source(row).confirmed;
    method_.statements.push_back(std::move(statement));
  }

  void add_metric(std::size_t row) {
    const std::string id = table_.cell(row, "value");
    if (!is_good_id(id)) table_.fail(row, "value", "a metric's name is made of a-z, 0-9 and \"-\"");
    if (method_.find_metric(id) != nullptr)
      table_.fail(row, "value", "the metric \"" + id + "\" is named twice");
    method_.metrics.emplace_back();
    method_.metrics.back().id = id;
  }

  void require(const std::string& key) {
    if (!draft_.descriptor_rows.contains(key))
      faults_.add({Severity::kError, method_.id + ".method.csv", 0, "key",
                   "the line \"" + key + "\" is missing; add it"});
  }

  SourceCells source(std::size_t row) {
    const SourceCells cells = read_source(table_, row);
    method_.confirmed = std::max(method_.confirmed, cells.confirmed);
    return cells;
  }

  void read_row(const std::string& key, std::size_t row) {
    const std::string value = table_.cell(row, "value");
    if (value.empty() && !key.ends_with(".unit"))
      table_.fail(row, "value", "the line \"" + key + "\" has no value");
    if (const std::size_t dot = key.rfind('.'); dot != std::string::npos) {
      read_metric_row(key, row, dot);
    } else if (key == "id") {
      if (!is_good_id(value)) table_.fail(row, "value", "a method's id is made of a-z, 0-9 and \"-\"");
      if (value != method_.id)
        table_.fail(
            row, "value",
            "the id \"" + value + "\" and the file name differ; call the file " + value + ".method.csv");
    } else if (key == "title") {
      method_.title = value;
      const SourceCells cells = source(row);
      method_.source_key = cells.source_key;
      method_.source_detail = cells.source_detail;
    } else if (key == "summary") {
      method_.summary = value;
    } else if (key == "region") {
      method_.region = value;
      source(row);
    } else if (key == "flow") {
      method_.flow = parse_flow(table_, row);
      if (method_.flow != Flow::kUncertain) source(row);
    } else if (key == "level") {
      method_.level = parse_level(table_, row, "any");
    } else if (key == "minimum_count") {
      method_.minimum_count = parse_whole(table_, row, 1, 1'000'000'000);
      const SourceCells cells = source(row);
      method_.minimum_count_source_key = cells.source_key;
      method_.minimum_count_detail = cells.source_detail;
      method_.minimum_count_confirmed = cells.confirmed;
    } else if (key == "excluded_seasons") {
      method_.excluded_seasons = parse_seasons(table_, row);
      source(row);
    } else if (key == "abundance_scheme") {
      method_.abundance_scheme = value;
      const auto known = abundance_classes();
      if (std::none_of(known.begin(), known.end(),
                       [&](const AbundanceClass& c) { return c.scheme == value; }))
        table_.fail(row, "value",
                    "no abundance scheme is called \"" + value + "\"; see abundance_schemes.csv");
    } else {
      table_.fail(row, "key",
                  "unknown key \"" + key + "\"; the form is described in core/reference/methods/README.md");
    }
  }

  void read_metric_row(const std::string& key, std::size_t row, std::size_t dot) {
    const std::string id = key.substr(0, dot), field = key.substr(dot + 1), value = table_.cell(row, "value");
    const auto metric = std::find_if(method_.metrics.begin(), method_.metrics.end(),
                                     [&](const Metric& m) { return m.id == id; });
    if (metric == method_.metrics.end())
      table_.fail(row, "key",
                  "there is no metric \"" + id + "\"; add a line with the key metric and this value");
    if (field == "title") {
      metric->title = value;
    } else if (field == "unit") {
      metric->unit = value;
    } else if (field == "formula") {
      metric->formula = parse_formula(table_, row);
      source(row);
    } else if (field == "decimals") {
      metric->decimals = static_cast<int>(parse_whole(table_, row, 0, 6));
      source(row);
    } else if (field == "better") {
      if (value != "higher" && value != "lower") table_.fail(row, "value", "write higher or lower");
      metric->higher_is_better = value == "higher";
    } else if (field == "set") {
      metric->set = table_.list(row, "value");
    } else if (field == "of") {
      metric->base = table_.list(row, "value");
    } else if (field == "level") {
      metric->level = parse_level(table_, row, "as named");
    } else {
      table_.fail(row, "key",
                  "unknown key \"" + key +
                      "\"; a metric has title, unit, formula, decimals, better, set, of and level");
    }
  }

  MethodDraft& draft_;
  Method& method_;
  const MethodTable& table_;
  MethodFaults& faults_;
};

void read_score(MethodDraft& draft, const MethodTable& table, std::size_t row) {
  ScoreUnit unit;
  unit.name = table.cell(row, "name");
  if (unit.name.empty()) table.fail(row, "name", "the line has no name; write it as the source prints it");
  for (const ScoreUnit& other : draft.method.units)
    if (other.name == unit.name) table.fail(row, "name", "\"" + unit.name + "\" stands here twice; keep one");
  unit.members = table.list(row, "members");
  if (unit.members.empty()) table.fail(row, "members", "write at least one accepted name of the checklist");
  unit.except = table.list(row, "except");
  if (const std::string stage = table.cell(row, "life_stage"); !stage.empty()) {
    unit.stage = parse_life_stage(stage);
    if (!unit.stage || *unit.stage == LifeStage::kUnknown)
      table.fail(row, "life_stage", "unknown life stage \"" + stage + "\"; write egg, larva, pupa or adult");
  }
  unit.score = table.number(row, "score").value_or(0);
  unit.group = table.cell(row, "group");
  if (unit.group.empty() && any_metric(draft.method, uses_codes)) unit.group = unit.name;
  const SourceCells cells = read_source(table, row);
  unit.source_key = cells.source_key;
  unit.source_detail = cells.source_detail;
  unit.confirmed = cells.confirmed;
  if (!table.cell(row, "members_confirmed").empty())
    unit.members_confirmed = read_confirmed(table, row, "members_confirmed");
  unit.note = table.cell(row, "note");
  draft.method.confirmed =
      std::max({draft.method.confirmed, cells.confirmed, unit.members_confirmed.value_or(cells.confirmed)});
  draft.method.units.push_back(std::move(unit));
  draft.unit_rows.push_back(row);
}

void read_scores(MethodDraft& draft, const MethodTable& table, MethodFaults& faults) {
  constexpr std::size_t kMostLines = 60000;
  for (std::size_t row = 0; row < std::min(table.size(), kMostLines); ++row)
    faults.guard([&] { read_score(draft, table, row); });
  faults.guard([&] {
    if (table.size() > kMostLines)
      table.fail(table.size() - 1, "name", "a score table may have 60000 lines at most");
  });
}

void read_weight(MethodDraft& draft, const MethodTable& table, std::size_t row) {
  GroupWeight weight;
  weight.group = table.cell(row, "group");
  if (weight.group.empty()) table.fail(row, "group", "the line names no group");
  weight.code = table.cell(row, "code");
  const std::optional<double> value = table.number(row, "weight");
  if (!value) table.fail(row, "weight", "the line has no weight");
  weight.weight = *value;
  for (const GroupWeight& other : draft.method.weights)
    if (other.group == weight.group && other.code == weight.code)
      table.fail(row, "group",
                 "the weight of \"" + weight.group + "\" " + weight.code + " stands here twice");
  const SourceCells cells = read_source(table, row);
  weight.source_key = cells.source_key;
  weight.source_detail = cells.source_detail;
  weight.confirmed = cells.confirmed;
  draft.method.confirmed = std::max(draft.method.confirmed, cells.confirmed);
  draft.method.weights.push_back(std::move(weight));
  draft.weight_rows.push_back(row);
}

// `lines`: of each metric, this one included.
void read_band(MethodDraft& draft, const MethodTable& table, std::size_t row,
               std::vector<std::int64_t>& lines) {
  const std::string id = table.cell(row, "metric");
  std::size_t metric = 0;
  while (metric < draft.method.metrics.size() && draft.method.metrics[metric].id != id) ++metric;
  if (metric == draft.method.metrics.size())
    table.fail(row, "metric", "the method has no metric \"" + id + "\"");
  const std::int64_t wanted = ++lines[metric];
  ClassBand band;
  band.name = table.cell(row, "class");
  if (band.name.empty()) table.fail(row, "class", "the class has no name; write the published one");
  const std::optional<std::int64_t> rank = parse_integer(table.cell(row, "rank"));
  if (!rank || *rank != wanted || *rank > 250)
    table.fail(row, "rank",
               "ranks run 1, 2, 3 ... from the best class to the worst, in this order; wanted " +
                   std::to_string(wanted));
  band.rank = static_cast<int>(*rank);
  band.lower = table.number(row, "lower");
  band.upper = table.number(row, "upper");
  band.lower_open = table.flag(row, "lower_open");
  band.upper_open = table.flag(row, "upper_open");
  if (band.lower_open && !band.lower)
    table.fail(row, "lower_open", "there is no lower limit that could be open");
  if (band.upper_open && !band.upper)
    table.fail(row, "upper_open", "there is no upper limit that could be open");
  const SourceCells cells = read_source(table, row);
  band.source_key = cells.source_key;
  band.source_detail = cells.source_detail;
  band.confirmed = cells.confirmed;
  draft.method.confirmed = std::max(draft.method.confirmed, cells.confirmed);
  draft.method.metrics[metric].bands.push_back(std::move(band));
  draft.band_rows[metric].push_back(row);
}

std::string read_file(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::string text(std::istreambuf_iterator<char>(in), {});
  if (!in.is_open() || in.bad()) throw Error(ErrorCode::kStorage, "the file cannot be read", file.string());
  return text;
}

}  // namespace

Method read_method(const MethodTexts& texts, MethodFaults& faults) {
  MethodDraft draft;
  draft.method.id = texts.id;
  draft.method.confirmed = Confirmed::kDocument;  // lowered by each part read
  // Reads one table where it is there; it is sound when nothing in it was at fault.
  const auto read = [&](const char* name, const TableText* text, const std::vector<std::string>& columns,
                        const std::vector<std::string>& may_have, const auto& rows) {
    if (text == nullptr) return;
    const std::size_t before = faults.count();
    if (!faults.guard([&] { draft.tables.try_emplace(name, *text, columns, may_have); }))
      draft.unreadable.insert(name);
    if (const auto table = draft.tables.find(name); table != draft.tables.end()) rows(table->second);
    if (faults.count() == before) draft.sound.insert(name);
  };
  const auto beside = [&](const char* name) {
    const auto found = texts.tables.find(name);
    return found == texts.tables.end() ? nullptr : &found->second;
  };
  read("method", &texts.descriptor, kDescriptorColumns, {},
       [&](const MethodTable& table) { DescriptorReader(draft, table, faults).read(); });
  draft.band_rows.resize(draft.method.metrics.size());
  read("scores", beside("scores"), kScoreColumns, kScoreMayHave,
       [&](const MethodTable& table) { read_scores(draft, table, faults); });
  read("weights", beside("weights"), kWeightColumns, {}, [&](const MethodTable& table) {
    for (std::size_t row = 0; row < table.size(); ++row)
      faults.guard([&] { read_weight(draft, table, row); });
  });
  read("bands", beside("bands"), kBandColumns, {}, [&](const MethodTable& table) {
    if (draft.method.metrics.empty()) return;
    std::vector<std::int64_t> lines(draft.method.metrics.size(), 0);
    for (std::size_t row = 0; row < table.size(); ++row)
      faults.guard([&] { read_band(draft, table, row, lines); });
  });
  check_method(draft, faults);
  // A method that leans on a trait is no better confirmed than what is known of the trait.
  for (const Metric& metric : draft.method.metrics)
    for (const auto* set : {&metric.set, &metric.base})
      for (const std::string& part : *set)
        for (const TraitRow& row : traits().rows())
          if (row.trait == trait_in_set(part))
            draft.method.confirmed = std::max(draft.method.confirmed, row.confirmed);
  if (faults.count() == 0) take_table_decimals(draft.method);
  return std::move(draft.method);
}

Method parse_method(const MethodTexts& texts) {
  MethodFaults faults;
  Method method = read_method(texts, faults);
  if (faults.count() > 0) throw MethodFault(faults.found().front());
  return method;
}

std::vector<std::string> shipped_method_order() {
  const Table table = read_csv(reference_file("methods/order.csv"), "methods/order.csv");
  const std::optional<std::size_t> column = table.find("id");
  if (!column) throw Error(ErrorCode::kBadInput, "the column \"id\" is missing", "methods/order.csv, line 1");
  std::vector<std::string> ids;
  for (const TableRow& row : table.rows) ids.push_back(row.cells[*column]);
  return ids;
}

MethodTexts texts_of_method(const std::filesystem::path& descriptor) {
  constexpr std::string_view kEnd = ".method.csv";
  const std::string name = descriptor.filename().string();
  if (!name.ends_with(kEnd) || name.size() == kEnd.size())
    throw Error(ErrorCode::kBadInput, "a method is given by its descriptor, a file called NAME.method.csv",
                descriptor.string());
  std::error_code ignored;
  if (!std::filesystem::is_regular_file(descriptor, ignored))
    throw Error(ErrorCode::kNotFound, "there is no such file; check the name and the folder",
                descriptor.string());
  MethodTexts texts;
  texts.id = name.substr(0, name.size() - kEnd.size());
  texts.descriptor = {name, read_file(descriptor)};
  if (find_method(texts.id) != nullptr)
    throw Error(
        ErrorCode::kBadInput,
        "a method called \"" + texts.id +
            "\" comes with the program; give yours another id, so that their classes are never taken for "
            "one another",
        descriptor.string());
  for (const char* kind : kMethodTables) {
    const std::filesystem::path file = descriptor.parent_path() / (texts.id + "." + kind + ".csv");
    if (std::filesystem::exists(file, ignored))
      texts.tables[kind] = {file.filename().string(), read_file(file)};
  }
  return texts;
}

Method load_method(const std::filesystem::path& descriptor) {
  return parse_method(texts_of_method(descriptor));
}

Issues check_method_file(const std::filesystem::path& descriptor) {
  MethodFaults faults;
  read_method(texts_of_method(descriptor), faults);
  Issues found = faults.found();
  // In the order of the files, as they are worked through.
  const auto place = [](const Issue& issue) { return std::tie(issue.file, issue.line, issue.column); };
  std::stable_sort(found.begin(), found.end(),
                   [&](const Issue& a, const Issue& b) { return place(a) < place(b); });
  return found;
}

}  // namespace brookmark::core
