#include "viewer/survey_work.hpp"

#include "core/base/crs.hpp"
#include "core/base/csv.hpp"
#include "core/base/no_answer.hpp"
#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"
#include "core/intake/own_table.hpp"
#include "core/sharing/blur_grid.hpp"
#include "geodata/output_file.hpp"
#include "geodata/vector_input.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

void tell(const Steps& steps, const char* what, double done) {
  if (steps && !steps(what, done)) throw Stopped{};
}

core::Table read_table(const IntakeWish& wish) {
  if (geodata::is_plain_table(wish.file)) {
    core::Table table = core::read_csv_file(wish.file);
    core::take_protection_off(table);
    return table;
  }
  geodata::start_geodata();
  return geodata::read_layer(wish.file, {wish.layer, wish.crs});
}

}  // namespace

void create_survey(const std::filesystem::path& target, const std::string& title, const std::string& crs) {
  core::SurveyInfo info;
  info.title = title;
  if (!crs.empty()) info.crs = crs;
  if (!info.crs.starts_with("EPSG:"))
    throw Error(ErrorCode::kBadUse,
                "\"" + info.crs + "\" is not the number of a coordinate system; write EPSG:number");
  const core::CrsConverter known(info.crs);  // an unknown system is refused before a file is made
  core::SurveyFile::create(target, info);
}

IntakePlan plan_intake(const core::SurveyFile& survey, const core::Snapshot& snapshot, const IntakeWish& wish,
                       const Steps& steps) {
  tell(steps, "Reading the file", 0.1);
  IntakePlan plan{read_table(wish), {}};
  tell(steps, "Checking every row", 0.5);
  core::ImportOptions options = wish.options;
  options.new_key = [&survey] { return survey.new_key(); };
  options.crs = wish.crs.empty() ? snapshot.survey.crs : wish.crs;
  plan.report = core::plan_import(wish.kind, plan.table, snapshot, options);
  tell(steps, "Checked", 1);
  return plan;
}

bool holds_nothing(const core::Snapshot& s) {
  return s.sites.size() == 0 && s.outfalls.empty() && s.reaches.empty() && s.waters.empty() &&
         s.catchments.empty();
}

std::string nothing_of_period(const core::Snapshot& own, const core::SharedSurvey& shared) {
  const core::SharingRules& rules = shared.rules();
  const auto span = own.date_span();
  if (own.samples.size() == 0 || !span || shared.snapshot().samples.size() > 0) return {};
  if (!rules.until && !rules.narrowed()) return {};
  core::Period period(rules.until.value_or(span->second));
  period.from = rules.from;
  period.seasons = rules.seasons;
  return "no sample of this survey may be told " + core::period_words(period) +
         ", so there is nothing to hand over; nothing was written";
}

std::string nothing_to_hand_over(const core::Snapshot& own, const core::SharedSurvey& shared) {
  if (std::string none = nothing_of_period(own, shared); !none.empty()) return none;
  if (!holds_nothing(shared.snapshot())) return {};
  return std::string("nothing to hand over yet: no sites") +
         (own.sites.size() > 0 ? " that may leave (--preview says why)" : "");
}

namespace {

// Sites without a position, where the form's rows are points: GPX, and FlatGeobuf of sites.
std::size_t sites_without_room(const core::HandOver& handed, const std::filesystem::path& target,
                               const std::vector<std::string>& only) {
  const std::string ending = core::to_lower_ascii(target.extension().string());
  const bool of_sites = only.empty() || (only.size() == 1 && only.front() == "sites");
  if (ending != ".gpx" && !(ending == ".fgb" && of_sites)) return 0;
  std::size_t without = 0;
  for (const core::SharedPlace& place : handed.shared.places())
    without += core::is_placed(place.position) ? 0 : 1;
  return without;
}

}  // namespace

std::string write_hand_over(const core::HandOver& handed, const std::filesystem::path& target,
                            const geodata::ExportOptions& options) {
  geodata::start_geodata();
  geodata::export_survey(geodata::source_of(handed), target, options);
  const core::Method& method = *handed.method;
  const core::Metric& metric = handed.assessment.metric_info();
  std::string sentence = "wrote " + target.string() + ": sites by " + metric.title + " (method " + method.id +
                         ") " + core::period_words(handed.period());
  if (metric.bands.empty()) sentence += ", which has no classes";
  sentence += std::string(" (confirmed: ") + core::confirmed_name(method.confirmed) + ")";
  if (handed.shared.snapshot().samples.size() == 0)
    sentence += "; no sample went out, so no site has a class";
  if (const std::size_t without = sites_without_room(handed, target, options.only); without > 0)
    sentence += "; not in it: " + count_of(without, "site", "sites") + " without a position";
  if (const std::size_t hidden = handed.shared.hidden().size(); hidden > 0)
    sentence += "; left out or moved: " + std::to_string(hidden) + (hidden == 1 ? " thing" : " things");
  return sentence;
}

std::string hand_over(const Session& session, const HandOverWish& wish, const Steps& steps) {
  tell(steps, "Working out what may leave, and its classes", 0.1);
  const auto handed = core::prepare_hand_over(session.snapshot, wish.method, wish.metric, wish.rules);
  if (const std::string none = nothing_of_period(session.snapshot, handed->shared); !none.empty())
    throw AnswerIsNo(core::plain_sentence(none));
  if (holds_nothing(handed->shared.snapshot()))
    throw AnswerIsNo("Nothing of this survey may leave, so no file was written.");
  tell(steps, "Writing the file", 0.5);
  write_hand_over(*handed, wish.target,
                  {.overwrite = wish.replace,
                   .only = wish.layers,
                   .crs = wish.crs.empty() ? "EPSG:4326" : wish.crs,
                   .licence = wish.licence});
  std::string words = "Wrote " + wish.target.string() + ": by " + handed->assessment.metric_info().title +
                      " (" + handed->method->title + "), " + period_in_words(handed->period()) + ".";
  if (handed->method->confirmed != core::Confirmed::kDocument)
    words += " " + confirmed_sentence(handed->method->confirmed);
  if (handed->shared.snapshot().samples.size() == 0) words += " No sample went out, so no site has a class.";
  if (const std::size_t without = sites_without_room(*handed, wish.target, wish.layers); without > 0)
    words += " Not in it: " + count_of(without, "site", "sites") + " without a position.";
  if (const std::size_t hidden = handed->shared.hidden().size(); hidden > 0)
    words += " Left out or moved: " + count_of(hidden, "thing", "things") + ".";
  return words;
}

std::optional<double> read_cell_size(std::string_view words) {
  std::string digits(core::trim(words));
  double unit = 1;
  if (digits.ends_with("km")) {
    unit = 1000;
    digits.resize(digits.size() - 2);
  } else if (digits.ends_with("m")) {
    digits.pop_back();
  }
  const auto value = core::parse_number(core::trim(digits));
  if (!value || *value * unit < core::kLeastCellM || *value * unit > core::kMostCellM) return std::nullopt;
  return *value * unit;
}

}  // namespace brookmark::viewer
