#include "core/scoring/ratio_classes.hpp"

#include <vector>

#include "core/base/csv.hpp"
#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/reference/reference.hpp"

namespace brookmark::core {

namespace {

RatioClasses empty_scale() {
  RatioClasses classes;
  classes.scale.id = "ratio";
  classes.scale.title = "observed / expected";
  classes.scale.decimals = kRatioDecimals;
  return classes;
}

struct StatusNames {
  std::vector<std::string> names;
  std::string origin;
};

StatusNames status_names() {
  const char* file = "ecological_status_classes.csv";
  const Table table = read_csv(reference_file(file), file);
  const auto cell = [&](const TableRow& row, const char* column) {
    return row.cells.at(*table.find(column));
  };
  StatusNames status;
  for (const TableRow& row : table.rows) status.names.push_back(cell(row, "class"));
  const TableRow& first = table.rows.front();
  status.origin = "class names: " + source_text(cell(first, "source_key"), cell(first, "source_detail")) +
                  " (confirmed: " + cell(first, "confirmed") + ")";
  return status;
}

std::string four_limits() {
  return "limits are four falling numbers above 0, the lowest ratio of the four better classes: "
         "0.8,0.6,0.4,0.2";
}

}  // namespace

RatioClasses five_classes(std::span<const double> lower_limits) {
  const StatusNames status = status_names();
  if (lower_limits.size() + 1 != status.names.size())
    throw Error(ErrorCode::kBadInput, four_limits() + "; here are " + std::to_string(lower_limits.size()));
  for (std::size_t i = 0; i < lower_limits.size(); ++i)
    if (!(lower_limits[i] > 0) || (i > 0 && !(lower_limits[i] < lower_limits[i - 1])))
      throw Error(ErrorCode::kBadInput, four_limits());
  RatioClasses classes = empty_scale();
  for (std::size_t i = 0; i < status.names.size(); ++i) {
    ClassBand band;
    band.name = status.names[i];
    band.rank = static_cast<int>(i) + 1;
    if (i < lower_limits.size()) band.lower = lower_limits[i];
    classes.scale.bands.push_back(band);
  }
  classes.origin = "limits: the user's own, not published; " + status.origin;
  return classes;
}

RatioClasses equal_classes() {
  RatioClasses classes = five_classes(std::vector<double>{0.8, 0.6, 0.4, 0.2});
  classes.origin = "limits: five equal steps, the user's own choice, not published; " + status_names().origin;
  return classes;
}

RatioClasses own_classes(const Table& table) {
  const auto name = table.find("class"), lower = table.find("lower"), source = table.find("source");
  if (!name || !lower)
    throw Error(ErrorCode::kBadInput,
                "a table of classes has the columns class and lower, and may have source", table.file);
  RatioClasses classes = empty_scale();
  std::string sources;
  for (const TableRow& row : table.rows) {
    const std::string where = table.file + ", line " + std::to_string(row.line);
    if (!row.issue.empty()) throw Error(ErrorCode::kBadInput, row.issue, where);
    const auto cell = [&](std::size_t column) {
      return column < row.cells.size() ? std::string(trim(row.cells[column])) : std::string();
    };
    ClassBand band;
    band.name = cell(*name);
    band.rank = static_cast<int>(classes.scale.bands.size()) + 1;
    if (band.name.empty()) throw Error(ErrorCode::kBadInput, "the class has no name", where);
    if (!classes.scale.bands.empty() && !classes.scale.bands.back().lower)
      throw Error(ErrorCode::kBadInput, "only the last class may be without a lower limit", where);
    for (const ClassBand& other : classes.scale.bands)
      if (other.name == band.name)
        throw Error(ErrorCode::kBadInput, "the class \"" + band.name + "\" is listed twice", where);
    if (const std::string text = cell(*lower); !text.empty()) {
      band.lower = parse_number(text, table.decimal);
      if (!band.lower)
        throw Error(ErrorCode::kBadInput, "the lower limit \"" + text + "\" is not a number", where);
      if (!classes.scale.bands.empty() && !(*band.lower < *classes.scale.bands.back().lower))
        throw Error(ErrorCode::kBadInput, "the lower limits fall from class to class, the best class first",
                    where);
    }
    if (const std::string said = source ? cell(*source) : "";
        !said.empty() && sources.find(said) == std::string::npos)
      sources += (sources.empty() ? "" : "; ") + said;
    classes.scale.bands.push_back(band);
  }
  if (classes.scale.bands.size() < 2)
    throw Error(ErrorCode::kBadInput, "there are fewer than two classes", table.file);
  if (classes.scale.bands.size() > 255)
    throw Error(ErrorCode::kBadInput, "there are more than 255 classes", table.file);
  if (classes.scale.bands.back().lower)
    throw Error(ErrorCode::kBadInput, "the last class is the worst and has no lower limit; leave it empty",
                table.file);
  classes.origin = "classes and limits: the user's own (" + table.file + "), " +
                   (sources.empty() ? std::string("without a source") : "source as given there: " + sources);
  return classes;
}

RatioClasses parse_ratio_classes(std::string_view text) {
  if (text == "equal") return equal_classes();
  std::vector<double> limits;
  for (const std::string& part : split(text, ',')) {
    const auto limit = parse_number(part);
    if (!limit) throw Error(ErrorCode::kBadInput, "\"" + part + "\" is not a number; " + four_limits());
    limits.push_back(*limit);
  }
  return five_classes(limits);
}

}  // namespace brookmark::core
