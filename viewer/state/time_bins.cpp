#include "viewer/state/time_bins.hpp"

#include <algorithm>

namespace brookmark::viewer {
namespace {

int months_of(core::Date date) {
  const core::YearMonthDay ymd = core::year_month_day(date);
  return ymd.year * 12 + ymd.month - 1;
}

core::Date month_start(int months) {
  return core::make_date({months / 12, months % 12 + 1, 1});
}

int floor_to(int value, int step) {
  return value - ((value % step) + step) % step;
}

// The first day of the unit in which a day lies.
core::Date start_of(core::Date date, BinUnit unit) {
  switch (unit) {
    case BinUnit::kWeek:
      return {floor_to(date.days + 3, 7) - 3};  // 1970-01-01 was a Thursday
    case BinUnit::kMonth:
      return month_start(months_of(date));
    case BinUnit::kQuarter:
      return month_start(floor_to(months_of(date) + 1, 3) - 1);
    case BinUnit::kYear:
      return month_start(floor_to(months_of(date), 12));
    case BinUnit::kDay:
      break;
  }
  return date;
}

core::Date next_start(core::Date start, BinUnit unit) {
  switch (unit) {
    case BinUnit::kWeek:
      return {start.days + 7};
    case BinUnit::kMonth:
      return month_start(months_of(start) + 1);
    case BinUnit::kQuarter:
      return month_start(months_of(start) + 3);
    case BinUnit::kYear:
      return month_start(months_of(start) + 12);
    case BinUnit::kDay:
      break;
  }
  return {start.days + 1};
}

}  // namespace

BinUnit bin_unit(core::Date first, core::Date last, std::size_t most) {
  const auto fits = [&](int count) { return static_cast<std::size_t>(std::max(count, 1)) <= most; };
  if (fits(last.days - first.days + 1)) return BinUnit::kDay;
  if (fits((start_of(last, BinUnit::kWeek).days - start_of(first, BinUnit::kWeek).days) / 7 + 1))
    return BinUnit::kWeek;
  for (const auto& [unit, months] : {std::pair{BinUnit::kMonth, 1}, {BinUnit::kQuarter, 3}})
    if (fits((months_of(start_of(last, unit)) - months_of(start_of(first, unit))) / months + 1)) return unit;
  return BinUnit::kYear;
}

std::vector<TimeBin> time_bins(std::span<const core::Date> days, std::span<const std::size_t> samples,
                               core::SeasonSet seasons, bool southern, std::size_t most) {
  std::vector<TimeBin> bins;
  if (days.empty()) return bins;
  const BinUnit unit = bin_unit(days.front(), days.back(), most);
  std::size_t at = 0;
  for (core::Date start = start_of(days.front(), unit); start <= days.back();) {
    const core::Date next = next_start(start, unit);
    TimeBin bin{std::max(start, days.front()), std::min(core::Date{next.days - 1}, days.back())};
    for (; at < days.size() && days[at] < next; ++at) {
      bin.samples += samples[at];
      if (seasons.has(core::season_of(days[at], southern))) bin.in_season += samples[at];
    }
    bins.push_back(bin);
    start = next;
  }
  return bins;
}

}  // namespace brookmark::viewer
