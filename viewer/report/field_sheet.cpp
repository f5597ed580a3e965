#include "viewer/report/field_sheet.hpp"

#include "core/base/text.hpp"
#include "core/hygiene/plain_words.hpp"
#include "core/survey/cautions.hpp"

namespace brookmark::viewer {

namespace {

constexpr std::size_t kTallyColumns = 12;  // that a page is wide enough for
constexpr std::size_t kTallyRows = 14;  // of each tally where there are several; the last one fills its page

std::string day_words(const core::VisitPlan& plan, core::Date day) {
  std::string words = core::plain_day(day);
  if (plan.sunrise_min)
    words += " · sunrise " + core::clock_words(*plan.sunrise_min) + ", sunset " +
             core::clock_words(*plan.sunset_min);
  words += " · " + std::to_string(plan.stops.size()) + (plan.stops.size() == 1 ? " stop" : " stops") + ", " +
           core::format_fixed(plan.way_m / 1000, 1) + " km in straight lines";
  if (!plan.stops.empty()) words += " · ends at " + core::clock_words(plan.home_min);
  return words;
}

// Two beside each other, in the order of the stops down the first pair of columns.
TableBlock label_table(const FieldSheetInput& input) {
  std::vector<std::pair<std::string, std::string>> labels;
  for (const core::PlanStop& stop : input.plan.stops) {
    const std::string code(input.snapshot.sites.code[stop.site.value()]);
    const std::string label =
        code + " · " + input.waters.name(stop.body) + " · " + core::format_date(input.day);
    if (stop.vessels.empty()) labels.emplace_back("", label);
    for (const core::KitIndex vessel : stop.vessels)
      labels.emplace_back(input.snapshot.kit[vessel.value()].code, label);
  }
  TableBlock table{
      "Vessels to label", {"Vessel", "Write on it", "Vessel", "Write on it"}, {11, 39, 11, 39}, {}, 0, false};
  if (labels.size() < 2) {
    table.columns.resize(2);
    table.shares.resize(2);
  }
  const std::size_t rows = labels.size() < 2 ? labels.size() : (labels.size() + 1) / 2;
  for (std::size_t row = 0; row < rows; ++row) {
    std::vector<TableCell> cells{labels[row].first, labels[row].second};
    if (labels.size() > 1) {
      const bool more = rows + row < labels.size();
      cells.emplace_back(more ? labels[rows + row].first : "");
      cells.emplace_back(more ? labels[rows + row].second : "");
    }
    table.rows.push_back(std::move(cells));
  }
  return table;
}

TableBlock order_table(const FieldSheetInput& input) {
  TableBlock table{"Order",
                   {"", "Site", "Water", "Arrive", "Leave", "Way", "Kit", "Before and at this stop"},
                   {3, 13, 12, 7, 7, 8, 8, 34},
                   {},
                   0,
                   false};
  std::size_t number = 0;
  for (const core::PlanStop& stop : input.plan.stops) {
    const std::size_t s = stop.site.value();
    std::string name(input.snapshot.sites.code[s]);
    if (!input.snapshot.sites.name[s].empty()) name += " " + std::string(input.snapshot.sites.name[s]);
    std::string water = input.waters.name(stop.body);
    if (stop.risk) {
      water += *stop.risk == core::RiskStatus::kConfirmed ? " (CONFIRMED RISK" : " (SUSPECTED";
      water += stop.place == core::RiskPlace::kAbove   ? ", above the place)"
               : stop.place == core::RiskPlace::kBelow ? ", below the place)"
                                                       : ")";
    }
    if (!stop.risk && stop.by_contact) water += " (CONTACT WITH A RISK)";
    if (!stop.risk && stop.below_risk) water += " (BELOW A RISK)";
    if (!stop.risk && stop.below_contact && !stop.by_contact && !stop.below_risk)
      water += " (BELOW A CONTACT)";
    std::string todo;
    if (!stop.cleaning_before.empty()) todo = "Clean first: " + stop.cleaning_before;
    core::append_note(todo, stop.note);
    table.rows.push_back({std::to_string(++number), name, water, core::clock_words(stop.arrive_min),
                          core::clock_words(stop.leave_min), core::format_fixed(stop.way_m / 1000, 2) + " km",
                          stop.kit_set.empty() ? "NONE CLEAN" : stop.kit_set, todo});
  }
  return table;
}

// As many tables as it takes for every stop to have its column, the stops shared out evenly among them.
std::vector<TableBlock> tally_tables(const FieldSheetInput& input) {
  const auto& stops = input.plan.stops;
  const std::size_t many = std::max<std::size_t>(1, (stops.size() + kTallyColumns - 1) / kTallyColumns);
  std::vector<TableBlock> tables;
  for (std::size_t t = 0; t < many; ++t) {
    const std::size_t first = stops.size() * t / many, end = stops.size() * (t + 1) / many;
    TableBlock tally{
        "Tally (animals as named on the bank; blank is not zero)", {"Animal"}, {}, {}, 6, t + 1 == many};
    if (many > 1) tally.blank_rows = kTallyRows;
    if (many > 1) tally.caption += ", stops " + std::to_string(first + 1) + " to " + std::to_string(end);
    for (std::size_t i = first; i < end; ++i)
      tally.columns.emplace_back(input.snapshot.sites.code[stops[i].site.value()]);
    tally.shares.assign(tally.columns.size(), 1);
    tally.shares.front() = std::max(2.0, static_cast<double>(end - first) * 0.35);
    tables.push_back(std::move(tally));
  }
  return tables;
}

}  // namespace

Document field_sheet(const FieldSheetInput& input) {
  Document sheet;
  sheet.title = "Field sheet: " + input.snapshot.survey.title;
  sheet.subtitle = day_words(input.plan, input.day);
  sheet.date = core::format_date(input.day);
  sheet.footer = std::string("Brookmark field sheet. ") + core::kResultCaution;
  for (const std::string& lack : input.plan.lacking) sheet.add(TextBlock{"NOT CLEAN: " + lack, true});
  for (const std::string& late : input.plan.late) sheet.add(TextBlock{late, true});
  sheet.add(TextBlock{
      "Who to call, and when they expect you back: " +
          (input.call.empty() ? std::string("______________________________________________") : input.call),
      false});
  sheet.add(order_table(input));
  if (!input.plan.stops.empty()) sheet.add(label_table(input));
  sheet.add(HeadingBlock{"Going clean"});
  ListBlock rules;
  for (const std::string& rule : input.plan.rules) rules.items.push_back(rule);
  rules.items.emplace_back(
      "One vessel, one water. Rinse it once with the water to be sampled, away from where you sample. No "
      "wading from one water into the next.");
  sheet.add(rules);
  sheet.add(HeadingBlock{"Cautions"});
  ListBlock cautions;
  for (const char* caution : core::kFieldCautions) cautions.items.emplace_back(caution);
  cautions.items.emplace_back(
      "Local codes and licensed practice go before this sheet. Amphibian eggs and larvae, crayfish and other "
      "protected animals are noted and left.");
  sheet.add(cautions);
  for (TableBlock& tally : tally_tables(input)) sheet.add(std::move(tally));
  return sheet;
}

std::size_t stops_on_one_page(const FieldSheetInput& input) {
  std::size_t fits = 0, too_many = input.plan.stops.size() + 1;
  while (fits + 1 < too_many) {
    const std::size_t stops = (fits + too_many) / 2;
    core::VisitPlan shorter = input.plan;
    shorter.stops.resize(stops);
    const bool one =
        pages_of_pdf(field_sheet({input.snapshot, input.waters, shorter, input.day, input.call})) == 1;
    (one ? fits : too_many) = stops;
  }
  return fits;
}

std::string pages_words(const FieldSheetInput& input) {
  const std::size_t pages = pages_of_pdf(field_sheet(input)), stops = input.plan.stops.size();
  if (pages < 2) return "";
  const std::size_t fits = stops_on_one_page(input);
  return "The sheet has " + std::to_string(pages) + " pages; " +
         (fits == 0 ? std::string("what is lacking alone fills more than one")
                    : "the first " + (fits == 1 ? std::string("one") : std::to_string(fits)) + " of its " +
                          std::to_string(stops) + " stops would fit on one") +
         ".";
}

}  // namespace brookmark::viewer
