#include <cmath>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/intake/plan_internal.hpp"

namespace brookmark::core {

std::string entry(std::string_view text) {
  return "The entry " + in_quotes(text);
}

namespace {

constexpr int kMostOffsetMin = 840;  // as Moment allows

// Rows that other parts found malformed come with sentences of their own; all findings read alike.
std::string as_sentence(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
  if (!text.empty() && text.back() != '.') text += '.';
  return text;
}

}  // namespace

Plan::Plan(ImportKind kind, const Table& table, const Snapshot& snapshot, const ImportOptions& options)
    : table_(table),
      snapshot_(snapshot),
      options_(options),
      new_key_(options.new_key ? options.new_key : random_uuid),
      // The machine's day is UTC's; a surveyor's calendar may be a day ahead of it.
      latest_(options.latest_day.value_or(latest_day_anywhere())),
      columns_(match_columns(kind, table, options.columns)) {
  if (table.has_shapes)  // the shape is the position
    for (const Field field : {Field::kLatitude, Field::kLongitude, Field::kX, Field::kY})
      columns_.forget(field);
}

void Plan::refuse(const std::string& sentence) const {
  throw Error(ErrorCode::kBadInput, sentence, table_.file);
}

void Plan::require(Field field) const {
  if (has(field)) return;
  std::string found;
  for (const std::string& column : table_.columns) found += (found.empty() ? "" : ", ") + column;
  std::string sentence = std::string("there is no column for ") + field_name(field) + "; the columns are " +
                         (found.empty() ? "none" : found) +
                         ". Say which one it is with --column THEIRS=" + field_name(field);
  if (table_.columns.size() == 1 && !table_.has_shapes)
    sentence += "; all in one column usually means that the separator is not a comma, a semicolon or a tab";
  refuse(sentence);
}

void Plan::each_row(const std::function<void()>& work) {
  for (const TableRow& row : table_.rows) {
    row_ = &row;
    row_index_ = static_cast<std::size_t>(&row - table_.rows.data());
    row_good_ = true;
    pending_.clear();
    seen_in_row_.reset();
    ++report_.rows;
    if (row.issue.empty())
      work();
    else
      error(row.issue);
    if (!row_good_) {
      ++report_.bad_rows;
      continue;
    }
    ++report_.good_rows;
    if (seen_in_row_) seen_.insert(std::move(*seen_in_row_));
    for (Edit& edit : pending_) report_.batch.edits.push_back(std::move(edit));
  }
  row_ = nullptr;
}

std::string_view Plan::cell(Field field) const {
  const auto column = columns_.at(field);
  return column && *column < row_->cells.size() ? trim(row_->cells[*column]) : std::string_view{};
}

std::string Plan::column_name(Field field) const {
  const bool measured = field == Field::kMeasured || field == Field::kValue || field == Field::kUnit;
  if (measured && measured_in_ != nullptr) return (*measured_in_)[row_index_];
  const auto column = field == Field::kEnd ? std::nullopt : columns_.at(field);
  return column ? table_.columns[*column] : "";
}

void Plan::report(Severity severity, Field field, std::string sentence) {
  if (severity == Severity::kError) row_good_ = false;
  report_.issues.push_back(
      {severity, table_.file, row_->line, column_name(field), as_sentence(std::move(sentence))});
}

void Plan::report_at(Severity severity, std::size_t line, Field field, std::string sentence) {
  report_.issues.push_back(
      {severity, table_.file, line, column_name(field), as_sentence(std::move(sentence))});
}

std::string Plan::need(Field field, const std::string& what) {
  std::string value = text(field);
  if (value.empty()) error(field, std::string("This ") + row_word() + " has no " + what + "; fill it in.");
  return value;
}

std::optional<double> Plan::number(Field field, const std::string& what) {
  const std::string_view written = cell(field);
  if (written.empty()) return std::nullopt;
  if (const auto value = parse_number(written, table_.decimal); value && std::isfinite(*value)) return value;
  if (table_.decimal == '.' && parse_number(written, ','))
    error(field, entry(written) +
                     " has a decimal comma, but the other numbers of this file have points (or " +
                     "nothing shows which); write " + what + " with a point.");
  else if (table_.decimal == ',' && parse_number(written))
    error(field, entry(written) + " has a decimal point, but the numbers of this file have commas; write " +
                     what + " with a comma.");
  else
    error(field, entry(written) + " is not a number; write " + what + " in digits only.");
  return std::nullopt;
}

namespace {

// Year first with slashes can only be read one way.
std::string with_hyphens(std::string_view written) {
  std::string iso(written);
  if (iso.size() >= 10 && iso[4] == '/' && iso[7] == '/') iso[4] = iso[7] = '-';
  return iso;
}

std::string date_sentence(std::string_view written) {
  return entry(written) +
         " is not a date that exists, or is not written as 2024-05-03 (year, month, day); correct it.";
}

}  // namespace

std::string future_sentence(Date date, Date latest) {
  return "The date " + format_date(date) + " is in the future (no clock on earth is past " +
         format_date(latest) + "); correct it.";
}

std::optional<bool> Plan::yes_or_no(Field field) {
  const std::string written = to_lower_ascii(trim(cell(field)));
  if (written.empty()) return std::nullopt;
  for (const char* yes : {"yes", "y", "true", "1"})
    if (written == yes) return true;
  for (const char* no : {"no", "n", "false", "0"})
    if (written == no) return false;
  error(field, "The entry " + in_quotes(written) + " is not known here; write yes or no.");
  return std::nullopt;
}

std::optional<Date> Plan::date(Field field, bool may_be_in_future) {
  const std::string_view written = cell(field);
  if (written.empty()) return std::nullopt;
  const auto moment = parse_moment(with_hyphens(written));
  if (!moment) {
    error(field, date_sentence(written));
    return std::nullopt;
  }
  if (moment->date > latest_ && !may_be_in_future) {
    error(field, future_sentence(moment->date, latest_));
    return std::nullopt;
  }
  return moment->date;
}

std::optional<Moment> Plan::moment() {
  const std::string written = need(Field::kDate, "date");
  if (written.empty()) return std::nullopt;
  auto moment = parse_moment(with_hyphens(written));
  if (!moment) {
    error(Field::kDate, date_sentence(written));
    return std::nullopt;
  }
  if (std::string time = text(Field::kTime); !time.empty()) {
    if (time.size() > 1 && time[1] == ':') time.insert(0, "0");
    const auto timed = parse_moment(format_date(moment->date) + "T" + time);
    if (!timed) {
      error(Field::kTime, entry(time) + " is not a time of day; write it as 09:30 or 09:30+01:00.");
      return std::nullopt;
    }
    if (moment->minute_of_day && moment->minute_of_day != timed->minute_of_day) {
      error(Field::kTime, "The date column says " + in_quotes(written) + " and the time column " +
                              in_quotes(time) + "; make them agree.");
      return std::nullopt;
    }
    if (!moment->minute_of_day) moment = timed;
  }
  if (const std::string offset = text(Field::kUtcOffset);
      !offset.empty() && moment->minute_of_day && !moment->utc_offset_min) {
    const auto minutes = parse_integer(offset);
    if (!minutes || *minutes < -kMostOffsetMin || *minutes > kMostOffsetMin) {
      error(Field::kUtcOffset,
            entry(offset) + " is no offset from UTC; write it in minutes, as 60 for +01:00.");
      return std::nullopt;
    }
    moment->utc_offset_min = static_cast<int>(*minutes);
  }
  if (moment->date > latest_) {
    error(Field::kDate, future_sentence(moment->date, latest_));
    return std::nullopt;
  }
  return moment;
}

std::string Plan::signature() const {
  std::string all;
  for (const auto& column : columns_.column) {
    if (column && *column < row_->cells.size()) all += trim(row_->cells[*column]);
    all += '\x1f';
  }
  if (const auto* point = std::get_if<LonLat>(&row_->shape))
    all += format_number(point->lon) + " " + format_number(point->lat);
  return all;
}

bool Plan::repeats(Field field, const std::string& code, const std::string& what, bool in_survey) {
  if (code.empty()) return false;
  if (in_survey) {
    error(field, "The survey already has " + what + " " + in_quotes(code) +
                     "; give this one another code, or leave the " + row_word() + " out.");
    return false;
  }
  std::string now = signature();
  if (const auto before = seen_.find(code); before != seen_.end()) {
    if (before->second.signature == now) return true;
    error(field, "The code " + in_quotes(code) + " stands in " + place(before->second.line) +
                     " too, with other particulars; give each " + what + " its own code, or make the " +
                     row_word() + "s agree.");
    return false;
  }
  seen_in_row_ = {code, Seen{row_->line, std::move(now)}};
  return false;
}

CodeList::CodeList(const char* what, const char* how, const TextColumn& codes, const TextColumn& keys)
    : what_(what), how_(how) {
  for (std::size_t i = 0; i < codes.size(); ++i) {
    exact_.emplace(std::string(codes[i]), i);
    if (i < keys.size()) exact_.emplace(std::string(keys[i]), i);
    folded_.emplace(fold_name(codes[i]), std::string(codes[i]));
  }
}

CodeList CodeList::of_sites(const Snapshot& snapshot) {
  return {"site", "import the sites first", snapshot.sites.code, snapshot.sites.key};
}

CodeList CodeList::of_samples(const Snapshot& snapshot) {
  return {"sample", "import the samples first", snapshot.samples.code, snapshot.samples.key};
}

std::optional<std::size_t> CodeList::find(std::string_view code) const {
  const auto at = exact_.find(std::string(code));
  if (at == exact_.end()) return std::nullopt;
  return at->second;
}

std::string CodeList::not_found(std::string_view code) const {
  std::string sentence = std::string("There is no ") + what_ + " " + in_quotes(code) + " in the survey; ";
  if (const auto near = folded_.find(fold_name(code)); near != folded_.end())
    sentence += "did you mean " + in_quotes(near->second) + "? Otherwise ";
  return sentence + how_ + " or correct the code.";
}

}  // namespace brookmark::core
