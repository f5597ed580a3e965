// Why: the same date, distance or count is worded the same way in every panel.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "core/analysis/drops.hpp"
#include "core/base/date.hpp"
#include "core/scoring/method.hpp"
#include "core/survey/period.hpp"

namespace brookmark::viewer {

std::string month_name(int month);                        // "May"
std::string date_in_words(core::Date date);               // "14 May 2024"
std::string period_in_words(const core::Period& period);  // "up to 1 June 2022, spring only"
std::string short_date(core::Date date);  // "14 May 2024", "7 Oct 2025": at most eleven letters
// Whole years and months from a day to a later one, days where there is no month: "2 years 3 months", "12 days".
std::string span_in_words(core::Date from, core::Date to);
std::string weekday_name(core::Date date);                   // "Tuesday"
std::string day_and_season(core::Date date, bool southern);  // "Tuesday 14 May 2024, spring"
std::string distance_in_words(double metres);                // "840 m", "12.4 km"
std::string count_of(std::size_t n, const std::string& one, const std::string& many);  // "1 site", "3 sites"
// What speaks of a command line says the same of this window: "with `brookmark import S outfalls F`" -> "with page Survey,
// Import". A command that the window has no page for stays as it is.
std::string in_the_window(std::string words);
std::string position_in_words(double lon, double lat);  // "45.01230° N, 30.00450° W"
std::string value_in_words(const core::Metric& metric,
                           double value);  // as core::shown_decimals says
// "closed 31 Dec 2021" or "from 1 Apr 2022" on a day when the outfall is not in use; else empty.
std::string use_in_words(const core::Outfall& outfall, std::optional<core::Date> day);
// A unit as it is read: "degC" is "\u00B0C", "uS/cm" "\u00B5S/cm", "m2" "m\u00B2"; others stay.
std::string unit_in_words(std::string_view unit);
std::string as_sentence(std::string words);     // capital first letter (pH stays pH), full stop
std::string sentence_start(std::string words);  // the same without the full stop
// What stands on the badge beside a method's name, and the sentence behind it.
std::string confirmed_badge(core::Confirmed confirmed);
std::string confirmed_sentence(core::Confirmed confirmed);

// "Q03 to Q04: worse by 72; OUT-2 storm sewage, 117 m above Q04".
std::string drop_in_words(const core::Snapshot& snapshot, const core::Drop& drop, const core::Metric& metric);

}  // namespace brookmark::viewer
