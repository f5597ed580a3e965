#include "viewer/cli/commands.hpp"

#include <ostream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::viewer {

Session open_for(const std::filesystem::path& survey, const Console& console) {
  Session session = open_session(survey);
  if (!session.notice.empty()) console.err << "note: " << session.notice << '\n';
  return session;
}

Cell class_cell(const core::Metric& metric, int rank) {
  return text_or_empty(core::class_name(metric, rank));
}

Cell rank_cell(int rank) {
  if (rank == 0) return {};
  return static_cast<std::int64_t>(rank);
}

std::shared_ptr<const core::Method> choose_method(const std::string& id_or_file) {
  const auto shipped = core::shipped_methods();
  const core::Method* found = id_or_file.empty() ? &shipped.front() : core::find_method(id_or_file);
  if (found != nullptr) return {std::shared_ptr<const core::Method>(), found};  // shipped: nobody's to delete
  if (id_or_file.ends_with(".csv")) return std::make_shared<core::Method>(core::load_method(id_or_file));
  std::vector<std::string> ids;
  for (const core::Method& method : shipped) ids.push_back(method.id);
  throw Error(ErrorCode::kNotFound, "there is no method \"" + id_or_file + "\"; choose one of " +
                                        core::joined(ids, ", ") + ", or give your own NAME.method.csv");
}

std::size_t choose_metric(const core::Method& method, const std::string& metric) {
  std::vector<std::string> ids;
  for (std::size_t i = 0; i < method.metrics.size(); ++i) {
    if (metric.empty() || method.metrics[i].id == metric) return i;
    ids.push_back(method.metrics[i].id);
  }
  throw Error(ErrorCode::kNotFound,
              "method " + method.id + " has no metric \"" + metric + "\"; it has " + core::joined(ids, ", "));
}

core::Date newest_day(const core::Snapshot& snapshot) {
  const auto span = snapshot.date_span();
  return span ? span->second : core::today_utc();
}

core::Date choose_date(const std::string& text, core::Date otherwise) {
  if (text.empty()) return otherwise;
  if (const auto date = core::parse_date(text)) return *date;
  throw Error(ErrorCode::kBadInput, "\"" + text + "\" is not a date; write it as 2024-05-03");
}

core::Period choose_period(const ScoreOptions& options, core::Date otherwise) {
  core::Period period(choose_date(options.until, otherwise));
  if (!options.from.empty()) {
    period.from = choose_date(options.from, {});
    if (*period.from > period.until)
      throw Error(ErrorCode::kBadInput, "--from " + options.from + " lies after the last day asked for, " +
                                            core::format_date(period.until) + "; give an earlier one");
  }
  if (!options.season.empty()) {
    const auto seasons = core::parse_seasons(options.season);
    if (!seasons)
      throw Error(ErrorCode::kBadInput, "\"" + options.season +
                                            "\" names no season; write winter, spring, summer or autumn, "
                                            "several with a comma between");
    period.seasons = *seasons;
  }
  return period;
}

core::LonLat choose_place(const std::string& words) {
  const std::vector<std::string> parts = core::split(words, ',');
  if (parts.size() == 2) {
    const auto lon = core::parse_number(parts[0]), lat = core::parse_number(parts[1]);
    if (lon && lat && core::is_valid({*lon, *lat})) return {*lon, *lat};
    if (lon && lat && core::is_valid({*lat, *lon}))
      throw Error(ErrorCode::kBadInput, "\"" + words + "\" is not a place; longitude comes first: --at=" +
                                            parts[1] + "," + parts[0]);
  }
  throw Error(ErrorCode::kBadInput,
              "\"" + words + "\" is not a place; write --at LON,LAT in degrees, like --at=-30.01,45.02");
}

}  // namespace brookmark::viewer
