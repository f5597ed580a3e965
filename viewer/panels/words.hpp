// Why: the same date, distance or count is worded the same way in every panel.
#pragma once

#include <optional>
#include <string>

#include "core/base/date.hpp"
#include "core/scoring/method.hpp"

namespace brookmark::viewer {

std::string month_name(int month);                           // "May"
std::string date_in_words(core::Date date);                  // "14 May 2024"
std::string weekday_name(core::Date date);                   // "Tuesday"
std::string day_and_season(core::Date date, bool southern);  // "Tuesday 14 May 2024, spring"
std::string distance_in_words(double metres);                // "840 m", "12.4 km"
std::string count_of(std::size_t n, const std::string& one, const std::string& many);  // "1 site", "3 sites"
std::string position_in_words(double lon, double lat);  // "45.01230° N, 30.00450° W"
std::string value_in_words(const core::Metric& metric,
                           double value);    // to the metric's decimals, two without
std::string as_sentence(std::string words);  // capital first letter, full stop
// What stands on the badge beside a method's name, and the sentence behind it.
std::string confirmed_badge(core::Confirmed confirmed);
std::string confirmed_sentence(core::Confirmed confirmed);

// Shown on every screen, shortened; and in full behind the button beside it.
inline constexpr const char* kCaution =
    "Evidence about ecology, not a statement that water is safe to drink, to bathe in, or lawful; "
    "not a regulator's classification.";
inline constexpr const char* kCautionsInFull[] = {
    "An invertebrate index is evidence about ecology. It does not say that water is safe to drink, to bathe "
    "in, or "
    "lawful, and it is not a regulator's classification: for those go to the competent authority or a "
    "licensed "
    "laboratory.",
    "At the water: deep, fast or cold water; slippery banks; sharp debris; sewage outfalls after rain; "
    "blue-green algae; "
    "ticks.",
    "Working alone: tell someone where you are and agree a time to call back.",
    "Weil's disease and other infections: cover cuts and wash hands.",
    "Get the landowner's permission; follow local law on protected species, licences for handling crayfish "
    "or "
    "amphibians, and biosecurity rules.",
    "Disinfectants are hazardous: follow the label and local codes, and keep them away from water.",
};

}  // namespace brookmark::viewer
