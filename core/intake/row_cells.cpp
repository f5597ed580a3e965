#include "core/intake/row_cells.hpp"

#include <span>

#include "core/base/text.hpp"

namespace brookmark::core {

namespace {

template <class Row>
struct Cell {
  const char* column;
  std::string (*get)(const Row&);
  std::string (*set)(Row&, const std::string&);
};

std::string number_text(const std::optional<double>& value) {
  return value ? format_number(*value) : std::string();
}

template <class Value>
std::string whole_text(const std::optional<Value>& value) {
  return value ? std::to_string(*value) : std::string();
}

std::string set_number(std::optional<double>& field, const std::string& text) {
  field = text.empty() ? std::nullopt : parse_number(text);
  return text.empty() || field ? "" : "\"" + text + "\" is no number";
}

template <class Value>
std::string set_whole(std::optional<Value>& field, const std::string& text) {
  const auto value = parse_integer(text);
  field.reset();
  if (text.empty()) return "";
  if (!value) return "\"" + text + "\" is no whole number";
  field = static_cast<Value>(*value);
  return "";
}

std::string set_flag(bool& field, const std::string& text) {
  field = text == "true";
  return text == "true" || text == "false" || text.empty() ? ""
                                                           : "\"" + text + "\" is neither true nor false";
}

std::string set_day(std::optional<Date>& field, const std::string& text) {
  field = text.empty() ? std::nullopt : parse_date(text);
  return text.empty() || field ? "" : "\"" + text + "\" is no day such as 2024-05-03";
}

template <class Kind>
std::string set_word(Kind& field, std::optional<Kind> word, const std::string& text) {
  if (!word) return "\"" + text + "\" is not one of the words that may stand here";
  field = *word;
  return "";
}

// By the words that exports write; nothing looser.
template <class Kind>
std::optional<Kind> word_of(const std::string& text, Kind last, const char* (*name)(Kind)) {
  for (int i = 0; i <= static_cast<int>(last); ++i)
    if (text == name(static_cast<Kind>(i))) return static_cast<Kind>(i);
  return std::nullopt;
}

std::string two_digits(int value) {
  return (value < 10 ? "0" : "") + std::to_string(value);
}

std::string time_text(const std::optional<int>& minute) {
  return minute ? two_digits(*minute / 60) + ":" + two_digits(*minute % 60) : std::string();
}

std::string set_time(std::optional<int>& minute, const std::string& text) {
  minute.reset();
  if (text.empty()) return "";
  const auto moment = parse_moment("2000-01-01T" + text);
  if (!moment || !moment->minute_of_day || moment->utc_offset_min)
    return "\"" + text + "\" is no time such as 09:30";
  minute = moment->minute_of_day;
  return "";
}

template <class Row, std::string Row::*kField>
constexpr Cell<Row> text_of(const char* column) {
  return {column, [](const Row& row) { return row.*kField; },
          [](Row& row, const std::string& text) {
            row.*kField = text;
            return std::string();
          }};
}

template <class Row, std::string RawPosition::*kField>
constexpr Cell<Row> raw_of(const char* column) {
  return {column, [](const Row& row) { return row.raw.*kField; },
          [](Row& row, const std::string& text) {
            row.raw.*kField = text;
            return std::string();
          }};
}

template <class Row, std::optional<double> Row::*kField>
constexpr Cell<Row> number_of(const char* column) {
  return {column, [](const Row& row) { return number_text(row.*kField); },
          [](Row& row, const std::string& text) { return set_number(row.*kField, text); }};
}

template <class Row, bool Row::*kField>
constexpr Cell<Row> flag_of(const char* column) {
  return {column, [](const Row& row) { return std::string(row.*kField ? "true" : "false"); },
          [](Row& row, const std::string& text) { return set_flag(row.*kField, text); }};
}

template <class Row, std::optional<Date> Row::*kField>
constexpr Cell<Row> day_of(const char* column) {
  return {column, [](const Row& row) { return row.*kField ? format_date(*(row.*kField)) : std::string(); },
          [](Row& row, const std::string& text) { return set_day(row.*kField, text); }};
}

// `kLast`: the last word of its kind.
template <class Row, auto kField, auto kLast, auto kName>
constexpr Cell<Row> word_cell(const char* column) {
  return {column, [](const Row& row) { return std::string(kName(row.*kField)); },
          [](Row& row, const std::string& text) {
            return set_word(row.*kField, word_of(text, kLast, kName), text);
          }};
}

const Cell<Water> kWater[] = {
    text_of<Water, &Water::name>("name"),
    word_cell<Water, &Water::kind, WaterKind::kLakeMargin, water_kind_name>("kind")};

const Cell<Site> kSite[] = {
    text_of<Site, &Site::code>("code"),
    text_of<Site, &Site::name>("name"),
    text_of<Site, &Site::water>("water"),
    word_cell<Site, &Site::kind, WaterKind::kLakeMargin, water_kind_name>("water_kind"),
    word_cell<Site, &Site::status, SiteStatus::kRetired, site_status_name>("status"),
    number_of<Site, &Site::accuracy_m>("accuracy_m"),
    text_of<Site, &Site::habitat>("habitat"),
    text_of<Site, &Site::type>("site_type"),
    flag_of<Site, &Site::reference>("reference_site"),
    raw_of<Site, &RawPosition::x>("raw_x"),
    raw_of<Site, &RawPosition::y>("raw_y"),
    raw_of<Site, &RawPosition::crs>("raw_crs"),
    raw_of<Site, &RawPosition::note>("position_note"),
    text_of<Site, &Site::note>("note")};

const Cell<Visit> kVisit[] = {
    text_of<Visit, &Visit::site_key>("site_uuid"),
    {"date", [](const Visit& v) { return format_date(v.start.date); },
     [](Visit& v, const std::string& text) {
       std::optional<Date> day;
       std::string complaint = set_day(day, text);
       if (complaint.empty() && !day) complaint = "a visit needs a date";
       if (day) v.start.date = *day;
       return complaint;
     }},
    {"local_time", [](const Visit& v) { return time_text(v.start.minute_of_day); },
     [](Visit& v, const std::string& text) { return set_time(v.start.minute_of_day, text); }},
    {"local_offset_min", [](const Visit& v) { return whole_text(v.start.utc_offset_min); },
     [](Visit& v, const std::string& text) { return set_whole(v.start.utc_offset_min, text); }},
    text_of<Visit, &Visit::people>("people"),
    text_of<Visit, &Visit::weather>("weather"),
    text_of<Visit, &Visit::conditions>("conditions"),
    text_of<Visit, &Visit::note>("note")};

const Cell<Sample> kSample[] = {
    text_of<Sample, &Sample::code>("code"),
    text_of<Sample, &Sample::visit_key>("visit_uuid"),
    word_cell<Sample, &Sample::kind, SampleKind::kBlank, sample_kind_name>("kind"),
    text_of<Sample, &Sample::protocol>("protocol"),
    number_of<Sample, &Sample::effort>("effort"),
    text_of<Sample, &Sample::effort_unit>("effort_unit"),
    number_of<Sample, &Sample::mesh_um>("mesh_um"),
    number_of<Sample, &Sample::subsample_share>("subsample_share"),
    text_of<Sample, &Sample::note>("note")};

const Cell<Record> kRecord[] = {
    text_of<Record, &Record::sample_key>("sample_uuid"),
    text_of<Record, &Record::verbatim_name>("verbatim_name"),
    text_of<Record, &Record::taxon_key>("taxon_key"),
    word_cell<Record, &Record::match, NameMatch::kChosen, name_match_name>("name_match"),
    word_cell<Record, &Record::quantity, QuantityKind::kAbsent, quantity_kind_name>("quantity_kind"),
    // Presence and absence have no number of their own; exports write 1 and 0 for them.
    {"count_min",
     [](const Record& r) {
       if (r.count_min || r.quantity == QuantityKind::kCount) return whole_text(r.count_min);
       return std::string(r.quantity == QuantityKind::kPresent ? "1" : "0");
     },
     [](Record& r, const std::string& text) { return set_whole(r.count_min, text); }},
    {"count_max",
     [](const Record& r) {
       return !r.count_max && r.quantity == QuantityKind::kAbsent ? std::string("0")
                                                                  : whole_text(r.count_max);
     },
     [](Record& r, const std::string& text) { return set_whole(r.count_max, text); }},
    text_of<Record, &Record::class_scheme>("class_scheme"),
    text_of<Record, &Record::class_code>("class_code"),
    text_of<Record, &Record::verbatim_quantity>("verbatim_quantity"),
    word_cell<Record, &Record::stage, LifeStage::kAdult, life_stage_name>("life_stage"),
    text_of<Record, &Record::qualifier>("qualifier"),
    number_of<Record, &Record::certainty>("certainty"),
    text_of<Record, &Record::note>("note")};

const Cell<Measurement> kMeasurement[] = {
    text_of<Measurement, &Measurement::visit_key>("visit_uuid"),
    text_of<Measurement, &Measurement::sample_key>("sample_uuid"),
    text_of<Measurement, &Measurement::quantity>("quantity"),
    number_of<Measurement, &Measurement::value>("value"),
    text_of<Measurement, &Measurement::unit>("unit"),
    flag_of<Measurement, &Measurement::below_detection>("below_detection"),
    text_of<Measurement, &Measurement::verbatim_value>("verbatim_value"),
    text_of<Measurement, &Measurement::note>("note")};

const Cell<Outfall> kOutfall[] = {
    text_of<Outfall, &Outfall::code>("code"),
    text_of<Outfall, &Outfall::name>("name"),
    word_cell<Outfall, &Outfall::kind, OutfallKind::kTrade, outfall_kind_name>("kind"),
    number_of<Outfall, &Outfall::strength>("strength"),
    day_of<Outfall, &Outfall::since>("since"),
    day_of<Outfall, &Outfall::until>("until"),
    raw_of<Outfall, &RawPosition::x>("raw_x"),
    raw_of<Outfall, &RawPosition::y>("raw_y"),
    raw_of<Outfall, &RawPosition::crs>("raw_crs"),
    raw_of<Outfall, &RawPosition::note>("position_note"),
    text_of<Outfall, &Outfall::note>("note")};

const Cell<Reach> kReach[] = {text_of<Reach, &Reach::name>("name"),
                              flag_of<Reach, &Reach::two_way>("two_way"),
                              text_of<Reach, &Reach::note>("note")};

const Cell<Catchment> kCatchment[] = {text_of<Catchment, &Catchment::code>("code"),
                                      text_of<Catchment, &Catchment::name>("name")};

template <class Row>
std::string get_from(std::span<const Cell<Row>> cells, const Row& row, std::string_view column) {
  for (const Cell<Row>& cell : cells)
    if (cell.column == column) return cell.get(row);
  return {};
}

template <class Row>
std::string set_in(std::span<const Cell<Row>> cells, Row& row, std::string_view column,
                   const std::string& text) {
  for (const Cell<Row>& cell : cells)
    if (cell.column == column) return cell.set(row, text);
  return "there is no column " + std::string(column) + " to set";
}

template <class Row>
std::vector<std::string> columns_of(std::span<const Cell<Row>> cells) {
  std::vector<std::string> columns;
  for (const Cell<Row>& cell : cells) columns.emplace_back(cell.column);
  return columns;
}

}  // namespace

std::string get_cell(const Water& row, std::string_view column) {
  return get_from<Water>(kWater, row, column);
}
std::string get_cell(const Site& row, std::string_view column) {
  return get_from<Site>(kSite, row, column);
}
std::string get_cell(const Visit& row, std::string_view column) {
  return get_from<Visit>(kVisit, row, column);
}
std::string get_cell(const Sample& row, std::string_view column) {
  return get_from<Sample>(kSample, row, column);
}
std::string get_cell(const Record& row, std::string_view column) {
  return get_from<Record>(kRecord, row, column);
}
std::string get_cell(const Measurement& row, std::string_view column) {
  return get_from<Measurement>(kMeasurement, row, column);
}
std::string get_cell(const Outfall& row, std::string_view column) {
  return get_from<Outfall>(kOutfall, row, column);
}
std::string get_cell(const Reach& row, std::string_view column) {
  return get_from<Reach>(kReach, row, column);
}
std::string get_cell(const Catchment& row, std::string_view column) {
  return get_from<Catchment>(kCatchment, row, column);
}

std::string set_cell(Water& row, std::string_view column, const std::string& text) {
  return set_in<Water>(kWater, row, column, text);
}
std::string set_cell(Site& row, std::string_view column, const std::string& text) {
  return set_in<Site>(kSite, row, column, text);
}
std::string set_cell(Visit& row, std::string_view column, const std::string& text) {
  return set_in<Visit>(kVisit, row, column, text);
}
std::string set_cell(Sample& row, std::string_view column, const std::string& text) {
  return set_in<Sample>(kSample, row, column, text);
}
std::string set_cell(Record& row, std::string_view column, const std::string& text) {
  return set_in<Record>(kRecord, row, column, text);
}
std::string set_cell(Measurement& row, std::string_view column, const std::string& text) {
  return set_in<Measurement>(kMeasurement, row, column, text);
}
std::string set_cell(Outfall& row, std::string_view column, const std::string& text) {
  return set_in<Outfall>(kOutfall, row, column, text);
}
std::string set_cell(Reach& row, std::string_view column, const std::string& text) {
  return set_in<Reach>(kReach, row, column, text);
}
std::string set_cell(Catchment& row, std::string_view column, const std::string& text) {
  return set_in<Catchment>(kCatchment, row, column, text);
}

std::vector<std::string> cell_columns(std::string_view layer) {
  if (layer == "waters") return columns_of<Water>(kWater);
  if (layer == "sites") return columns_of<Site>(kSite);
  if (layer == "visits") return columns_of<Visit>(kVisit);
  if (layer == "samples") return columns_of<Sample>(kSample);
  if (layer == "records") return columns_of<Record>(kRecord);
  if (layer == "measurements") return columns_of<Measurement>(kMeasurement);
  if (layer == "outfalls") return columns_of<Outfall>(kOutfall);
  if (layer == "reaches") return columns_of<Reach>(kReach);
  if (layer == "catchments") return columns_of<Catchment>(kCatchment);
  return {};
}

}  // namespace brookmark::core
