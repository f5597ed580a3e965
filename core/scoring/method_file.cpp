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
       [&](const MethodTable& table) { read_descriptor(draft, table, faults); });
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
