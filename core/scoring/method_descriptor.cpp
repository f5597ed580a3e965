// The descriptor of a method: what it is of, and its metrics.
#include <algorithm>
#include <optional>

#include "core/base/text.hpp"
#include "core/scoring/method_file_internal.hpp"

namespace brookmark::core {

namespace {

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

}  // namespace

void read_descriptor(MethodDraft& draft, const MethodTable& table, MethodFaults& faults) {
  DescriptorReader(draft, table, faults).read();
}

}  // namespace brookmark::core
