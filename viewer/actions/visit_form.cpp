#include "viewer/actions/visit_form.hpp"

#include <cmath>
#include <cstdlib>
#include <ctime>

#include "core/base/text.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

std::string two(int n) {
  return (n < 10 ? "0" : "") + std::to_string(n);
}

std::string time_words(int minute_of_day) {
  return two(minute_of_day / 60) + ":" + two(minute_of_day % 60);
}

std::string offset_words(int minutes) {
  return (minutes < 0 ? "-" : "+") + time_words(std::abs(minutes));
}

// "9:30", "0930" is refused: which hour it means is clear only with the colon.
std::optional<int> parse_time(const std::string& words) {
  const std::vector<std::string> parts = core::split(words, ':');
  if (parts.size() != 2 || parts[0].empty() || parts[0].size() > 2 || parts[1].size() != 2)
    return std::nullopt;
  const auto hour = core::parse_integer(parts[0]), minute = core::parse_integer(parts[1]);
  if (!hour || !minute || *hour < 0 || *hour > 23 || *minute < 0 || *minute > 59) return std::nullopt;
  return static_cast<int>(*hour * 60 + *minute);
}

std::optional<int> parse_offset(std::string words) {
  if (words == "Z" || words == "z") return 0;
  int sign = 1;
  if (!words.empty() && (words[0] == '+' || words[0] == '-')) {
    sign = words[0] == '-' ? -1 : 1;
    words.erase(0, 1);
  }
  if (words.find(':') == std::string::npos) words += ":00";
  const auto minutes = parse_time(words);
  if (!minutes || *minutes > 14 * 60) return std::nullopt;
  return sign * *minutes;
}

std::optional<double> parse_share(const std::string& words) {
  const std::vector<std::string> parts = core::split(words, '/');
  if (parts.size() == 2) {
    const auto top = core::parse_number(core::trim(parts[0])),
               below = core::parse_number(core::trim(parts[1]));
    if (!top || !below || *below == 0) return std::nullopt;
    return *top / *below;
  }
  if (!words.empty() && words.back() == '%') {
    const auto percent = core::parse_number(core::trim(std::string_view(words).substr(0, words.size() - 1)));
    if (!percent) return std::nullopt;
    return *percent / 100;
  }
  return core::parse_number(words);
}

std::string number_words(const std::optional<double>& value) {
  return value ? core::format_number(*value) : std::string();
}

// "1/4" where it is one part of so many, as it is said at the tray.
std::string share_words(const std::optional<double>& share) {
  if (!share) return {};
  const double parts = std::round(1 / *share);
  if (parts >= 2 && parts <= 1000 && std::abs(1 / *share - parts) < 1e-9)
    return "1/" + core::format_number(parts);
  return core::format_number(*share);
}

class Reader {
 public:
  Reader(const EntrySheet& sheet, FormReading& out) : sheet_(sheet), out_(out) {}

  std::string text(EntryField f) const { return std::string(core::trim(sheet_.form[f])); }
  void refuse(EntryField f, const std::string& sentence) {
    if (!out_.trouble.empty()) return;
    out_.trouble = sentence;
    out_.at = f;
  }
  // Greater than zero, or nothing.
  std::optional<double> amount(EntryField f, const char* what, const char* example) {
    const std::string words = text(f);
    if (words.empty()) return std::nullopt;
    const auto value = core::parse_number(words);
    if (!value || !(*value > 0)) {
      refuse(f,
             "\u201C" + words + "\u201D is no " + what + "; write a number above 0, like " + example + ".");
      return std::nullopt;
    }
    return value;
  }

 private:
  const EntrySheet& sheet_;
  FormReading& out_;
};

}  // namespace

VisitForm form_of(const core::Snapshot& s, core::SampleIndex sample) {
  const std::size_t i = sample.value(), v = s.samples.visit[i].value();
  VisitForm form;
  const core::Moment& start = s.visits.start[v];
  form[EntryField::kDate] = core::format_date(start.date);
  if (start.minute_of_day) form[EntryField::kTime] = time_words(*start.minute_of_day);
  if (start.utc_offset_min) form[EntryField::kOffset] = offset_words(*start.utc_offset_min);
  form[EntryField::kPeople] = s.visits.people[v];
  form[EntryField::kWeather] = s.visits.weather[v];
  form[EntryField::kConditions] = s.visits.conditions[v];
  form[EntryField::kVisitNote] = s.visits.note[v];
  form[EntryField::kCode] = s.samples.code[i];
  form[EntryField::kProtocol] = s.samples.protocol[i];
  form[EntryField::kEffort] = number_words(s.samples.effort[i]);
  form[EntryField::kEffortUnit] = unit_in_words(s.samples.effort_unit[i]);
  form[EntryField::kMesh] = number_words(s.samples.mesh_um[i]);
  form[EntryField::kShare] = share_words(s.samples.subsample_share[i]);
  form[EntryField::kSampleNote] = s.samples.note[i];
  form.kind = s.samples.kind[i];
  return form;
}

std::string free_sample_code(const core::Snapshot& s, std::string_view site_code, core::Date date) {
  const std::string stem = std::string(site_code) + "-" + core::format_date(date).substr(0, 7);
  std::string code = stem;
  for (int n = 2; s.find_sample(code); ++n) code = stem + "-" + std::to_string(n);
  return code;
}

VisitForm fresh_form(const core::Snapshot& s, core::SiteIndex site, const core::Moment& now) {
  VisitForm form;
  std::optional<core::SampleIndex> like;
  const auto [begin, end] = s.samples_of(site);
  if (begin.value() < end.value()) {
    like = core::SampleIndex(end.value() - 1);
  } else {
    for (std::size_t i = 0; i < s.samples.size(); ++i)
      if (!like || s.samples.date[i] > s.samples.date[like->value()]) like = core::SampleIndex(i);
  }
  if (like) {
    const VisitForm before = form_of(s, *like);
    for (const EntryField f : {EntryField::kProtocol, EntryField::kEffortUnit, EntryField::kMesh})
      form[f] = before[f];
  }
  // Who is out today is out at every site of the day; who was out on another day may be somebody else.
  for (std::size_t v = 0; v < s.visits.size(); ++v)
    if (s.visits.start[v].date == now.date && !s.visits.people[v].empty())
      form[EntryField::kPeople] = s.visits.people[v];
  form[EntryField::kDate] = core::format_date(now.date);
  if (now.minute_of_day) form[EntryField::kTime] = time_words(*now.minute_of_day);
  if (now.utc_offset_min) form[EntryField::kOffset] = offset_words(*now.utc_offset_min);
  form[EntryField::kCode] = free_sample_code(s, s.sites.code[site.value()], now.date);
  return form;
}

FormReading read_form(const EntrySheet& sheet, const core::Snapshot& s, core::Date today) {
  FormReading out;
  Reader read(sheet, out);
  core::Visit& visit = out.visit;
  core::Sample& sample = out.sample;
  visit.key = sheet.visit_key;
  visit.site_key = sheet.site_key;
  const std::string date = read.text(EntryField::kDate);
  if (const auto day = core::parse_date(date); !day)
    read.refuse(EntryField::kDate, "\u201C" + date + "\u201D is no date; write it as 2024-05-03.");
  else if (*day > today)
    read.refuse(EntryField::kDate, date + " lies in the future; write the day of the visit.");
  else
    visit.start.date = *day;
  if (const std::string time = read.text(EntryField::kTime); !time.empty()) {
    visit.start.minute_of_day = parse_time(time);
    if (!visit.start.minute_of_day)
      read.refuse(EntryField::kTime,
                  "\u201C" + time + "\u201D is no time; write it as 09:30, or leave it empty.");
  }
  if (const std::string offset = read.text(EntryField::kOffset); !offset.empty()) {
    visit.start.utc_offset_min = parse_offset(offset);
    if (!visit.start.utc_offset_min)
      read.refuse(EntryField::kOffset,
                  "\u201C" + offset + "\u201D is no offset from UTC; write it as +01:00, at most 14 hours.");
  }
  visit.people = read.text(EntryField::kPeople);
  visit.weather = read.text(EntryField::kWeather);
  visit.conditions = read.text(EntryField::kConditions);
  visit.note = read.text(EntryField::kVisitNote);
  sample.key = sheet.sample_key;
  sample.visit_key = sheet.visit_key;
  sample.kind = sheet.form.kind;
  sample.code = read.text(EntryField::kCode);
  if (sample.code.empty()) {
    read.refuse(EntryField::kCode, "A sample needs a code, by which it is found again.");
  } else if (const auto other = s.find_sample(sample.code);
             other && s.samples.code[other->value()] == sample.code &&
             s.samples.key[other->value()] != sheet.sample_key) {
    read.refuse(EntryField::kCode,
                "There is a sample \u201C" + sample.code + "\u201D already; choose another code.");
  }
  sample.protocol = read.text(EntryField::kProtocol);
  sample.effort = read.amount(EntryField::kEffort, "effort", "180");
  sample.effort_unit = read.text(EntryField::kEffortUnit);
  if (sample.effort_unit == "m\u00B2") sample.effort_unit = "m2";  // as files and methods write it
  if (sample.effort && sample.effort_unit.empty())
    read.refuse(EntryField::kEffortUnit, "This effort has no unit; write s, jabs, l or m\u00B2.");
  sample.mesh_um = read.amount(EntryField::kMesh, "mesh", "500");
  if (const std::string share = read.text(EntryField::kShare); !share.empty()) {
    sample.subsample_share = parse_share(share);
    if (!sample.subsample_share || !(*sample.subsample_share > 0) || *sample.subsample_share > 1)
      read.refuse(
          EntryField::kShare,
          "\u201C" + share + "\u201D is no share of the catch; write 1/4 or 0.25, above 0 and at most 1.");
  }
  sample.note = read.text(EntryField::kSampleNote);
  return out;
}

core::Moment now_here() {
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  localtime_r(&now, &local);
  core::Moment moment;
  moment.date = core::make_date({local.tm_year + 1900, local.tm_mon + 1, local.tm_mday});
  moment.minute_of_day = local.tm_hour * 60 + local.tm_min;
  moment.utc_offset_min = static_cast<int>(local.tm_gmtoff / 60);
  return moment;
}

}  // namespace brookmark::viewer
