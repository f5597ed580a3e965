// What charts are made of: within their axes, without a number that is none, and in words.
#include <doctest/doctest.h>

#include <cmath>

#include "sample_survey.hpp"
#include "viewer/map/group_colours.hpp"
#include "viewer/panels/words.hpp"
#include "viewer/state/chart.hpp"
#include "viewer/state/model.hpp"

namespace brookmark::viewer {

namespace {

void check_sound(const Chart& chart) {
  CHECK(chart.low < chart.high);
  CHECK(std::isfinite(chart.low));
  CHECK(std::isfinite(chart.high));
  CHECK(chart.first < chart.last);
  for (std::size_t i = 0; i < chart.points.size(); ++i) {
    const ChartPoint& p = chart.points[i];
    CHECK(p.date >= chart.first);
    CHECK(p.date <= chart.last);
    if (i > 0) CHECK(chart.points[i - 1].date <= p.date);
    CHECK_FALSE(p.words.empty());
    if (p.value) CHECK((*p.value >= chart.low && *p.value <= chart.high));
    if (p.low) CHECK(*p.low <= *p.high);
  }
  for (std::size_t b = 0; b < chart.bands.size(); ++b) {
    CHECK(chart.bands[b].low <= chart.bands[b].high);
    if (b > 0) CHECK(chart.bands[b].low == chart.bands[b - 1].high);  // no gap to fall into
  }
  for (const ChartStack& stack : chart.stacks) CHECK(stack.heights.size() == chart.points.size());
  const auto figures = axis_figures(chart, 5);
  CHECK(figures.size() >= 2);
  CHECK(figures.size() <= 12);
  for (const double v : figures) CHECK((v >= chart.low - 1e-9 && v <= chart.high + 1e-9));
}

}  // namespace

TEST_CASE("the charts of every site, catchment and method are sound") {
  const Model model(make_session(test::sample_snapshot()));
  const core::Snapshot& s = model.snapshot();
  for (std::size_t m = 0; m < model.methods().size(); ++m)
    for (std::size_t i = 0; i < s.sites.size(); ++i) {
      model.answers().sure(m, core::SiteIndex(i));
      model.answers().settle();
      const Chart chart =
          index_chart(model, {m, 0}, core::SiteIndex(i), {}, model.answers().sure(m, core::SiteIndex(i)));
      const auto [first, last] = s.samples_of(core::SiteIndex(i));
      std::size_t kept = 0;
      for (std::size_t k = first.value(); k < last.value(); ++k)
        kept += s.samples.kind[k] != core::SampleKind::kBlank;
      CHECK(chart.points.size() == kept);
      check_sound(chart);
      if (m == 0) {
        check_sound(group_chart(model, core::SiteIndex(i), {}));
        for (const Chart& measured : measured_charts(model, core::SiteIndex(i), {})) check_sound(measured);
      }
    }
  for (std::size_t c = 0; c < s.catchments.size(); ++c)
    check_sound(catchment_chart(model, {0, 0}, core::CatchmentIndex(c), {}));
}

TEST_CASE(
    "classes stand behind values of the method's scope only: a pond's chart by a method for rivers has "
    "none") {
  const Model model(make_session(test::sample_snapshot()));
  std::size_t with = 0, without = 0;
  for (std::size_t m = 0; m < model.methods().size(); ++m)
    for (std::size_t site = 0; site < model.snapshot().sites.size(); ++site) {
      const Chart chart = index_chart(model, {m, 0}, core::SiteIndex(site), {}, nullptr);
      bool any = false;
      for (const ChartPoint& p : chart.points) any = any || (p.value && p.holds);
      CHECK(shows_classes(chart) == any);
      const bool still = core::flow_of(model.snapshot().sites.kind[site]) == core::Flow::kStill;
      if (still && model.methods()[m]->flow == core::Flow::kRunning) {
        CHECK_FALSE(shows_classes(chart));
        without += chart.points.empty() ? 0 : 1;
      }
      with += any ? 1 : 0;
    }
  CHECK(with > 0);
  CHECK(without > 0);
}

TEST_CASE("a point is read in words: day, value, class, interval") {
  const Model model(make_session(test::sample_snapshot()));
  const auto site = *model.snapshot().find_site("T05");
  const Chart plain = index_chart(model, {0, 0}, site, {}, nullptr);
  REQUIRE_FALSE(plain.empty());
  CHECK(plain.points[0].words.find(date_in_words(plain.points[0].date)) == 0);
  CHECK(plain.points[0].words.find("interval") == std::string::npos);
  CHECK(nearest_point(plain, core::make_date({1900, 1, 1})) == 0);
  CHECK(nearest_point(plain, core::make_date({2100, 1, 1})) == plain.points.size() - 1);
  CHECK_FALSE(nearest_point(Chart{}, core::make_date({2100, 1, 1})));
}

TEST_CASE("one sample, and none: an axis all the same") {
  test::SurveyBuilder b;
  b.site("A", "Only", test::ocean(0, 0));
  b.sample("2022-02-03", test::tray(2, 0));
  b.site("B", "Never", test::ocean(100, 0));
  const Model model(make_session(b.snapshot));
  check_sound(index_chart(model, {0, 0}, core::SiteIndex(0), {}, nullptr));
  CHECK(index_chart(model, {0, 0}, core::SiteIndex(1), {}, nullptr).empty());
  CHECK(group_chart(model, core::SiteIndex(1), {}).empty());
}

TEST_CASE("outfalls above a site are events of its chart, edits are not") {
  core::Snapshot s = test::sample_snapshot();
  for (core::Outfall& o : s.outfalls) o.since = o.until = std::nullopt;
  const auto site = *s.find_site("T05");
  {
    const Model model(make_session(s));
    CHECK(index_chart(model, {0, 0}, site, {}, nullptr).events.empty());
  }
  for (core::Outfall& o : s.outfalls) o.since = core::parse_date("2022-03-01");
  const Model model(make_session(s));
  const Chart chart = index_chart(model, {0, 0}, site, {}, nullptr);
  CHECK(chart.events.size() == model.answers().upstream(site).outfalls.size());
  REQUIRE_FALSE(chart.events.empty());
  CHECK(chart.events[0].words.find("in use from 1 March 2022") != std::string::npos);
  for (const core::UpstreamOutfall& o : model.answers().upstream(site).outfalls)
    CHECK(std::any_of(chart.events.begin(), chart.events.end(), [&](const ChartEvent& event) {
      return event.words.find(", " + distance_in_words(o.distance_m) + " above,") != std::string::npos;
    }));
}

TEST_CASE("a span of time in words") {
  const auto day = [](const char* iso) { return *core::parse_date(iso); };
  CHECK(span_in_words(day("2020-03-31"), day("2024-04-30")) == "4 years");
  CHECK(span_in_words(day("2020-03-30"), day("2024-04-30")) == "4 years 1 month");
  CHECK(span_in_words(day("2024-01-10"), day("2024-03-09")) == "1 month");
  CHECK(span_in_words(day("2024-01-10"), day("2024-01-22")) == "12 days");
  CHECK(span_in_words(day("2024-01-10"), day("2024-01-10")) == "0 days");
}

TEST_CASE(
    "the axis of pH lies around what was measured, that of a concentration begins with none, and units are "
    "read") {
  core::Snapshot s = test::sample_snapshot();
  const auto site = *s.find_site("T05");
  const core::SampleIndex first = s.samples_of(site).first;
  const auto measure = [&](const char* quantity, const char* unit, double value) {
    core::MeasurementColumns& m = s.measurements;
    m.key.append("m" + std::to_string(m.size()));
    m.visit.push_back(s.samples.visit[first.value()]);
    m.sample.push_back({});
    m.quantity.append(quantity);
    m.unit.append(unit);
    m.value.push_back(value);
    m.below_detection.push_back(false);
    m.verbatim_value.append(std::to_string(value));
    m.note.append("");
  };
  measure("pH", "", 7.4);
  measure("temperature", "degC", 11.5);
  measure("conductivity", "uS/cm", 412);
  const Model model(make_session(s));
  std::size_t seen = 0;
  for (const Chart& chart : measured_charts(model, site, {})) {
    CAPTURE(chart.title);
    REQUIRE(chart.points.size() == 1);
    const double value = *chart.points[0].value;
    CHECK(chart.low < value);
    CHECK(chart.high > value);
    seen += 1;
    if (chart.title == "PH" || chart.title == "pH") {
      CHECK(chart.low > 6);
      CHECK(chart.high < 9);
    } else if (chart.title == "Temperature, \u00B0C") {
      CHECK(chart.low > 10);
    } else {
      CHECK(chart.title == "Conductivity, \u00B5S/cm");
      CHECK(chart.low == 0);
      CHECK(chart.points[0].words.find("412 \u00B5S/cm") != std::string::npos);
    }
  }
  CHECK(seen == 3);
}

TEST_CASE("units are told as they are read, and what is no shorthand stays") {
  CHECK(unit_in_words("degC") == "\u00B0C");
  CHECK(unit_in_words("uS/cm") == "\u00B5S/cm");
  CHECK(unit_in_words("ug/l") == "\u00B5g/l");
  CHECK(unit_in_words("m2") == "m\u00B2");
  CHECK(unit_in_words("m3/s") == "m\u00B3/s");
  CHECK(unit_in_words("mg/l N") == "mg/l N");
  CHECK(unit_in_words("psu") == "psu");
  CHECK(unit_in_words("jabs") == "jabs");
  CHECK(unit_in_words("").empty());
}

TEST_CASE("groups of animals that meet on one chart have colours that can be told apart") {
  // The orders that are commonest in brooks (common practice, no source).
  const char* groups[] = {"Ephemeroptera", "Plecoptera", "Trichoptera", "Diptera",         "Coleoptera",
                          "Odonata",       "Hemiptera",  "Amphipoda",   "Isopoda",         "Sphaeriida",
                          "Megaloptera",   "Tricladida", "other",       "Littorinimorpha", "Decapoda"};
  for (const char* a : groups)
    for (const char* b : groups) {
      if (std::string(a) == b) continue;
      const Colour p = group_colour(a), q = group_colour(b);
      CAPTURE(a);
      CAPTURE(b);
      CHECK(std::hypot(p.r - q.r, p.g - q.g, p.b - q.b) > 40);
    }
  CHECK(group_colour("no such order") == group_colour("no such order"));
}

TEST_CASE("groups of one chart never share a colour, known or not, and one alone keeps its own") {
  // Fourteen names that no table knows, with three that it does, two of them the old and the new name of one order.
  std::vector<ChartStack> stacks{{"Ephemeroptera", {}}, {"Basommatophora", {}}, {"Hygrophila", {}}};
  for (const char* name :
       {"Acari", "Araneae", "Bivalvia", "Collembola", "Cyclopoida", "Diplostraca", "Hirudinea",
        "Hydrachnidia", "Lepidoptera", "Nematoda", "Neuroptera", "Ostracoda", "Unionida", "Valvatida"})
    stacks.push_back({name, {}});
  for (std::size_t first = 0; first + 7 <= stacks.size(); ++first) {
    const std::span<const ChartStack> seven(stacks.data() + first, 7);  // as many as a chart has
    const auto colours = stack_colours(seven);
    for (std::size_t a = 0; a < 7; ++a)
      for (std::size_t b = 0; b < a; ++b) {
        CAPTURE(seven[a].name);
        CAPTURE(seven[b].name);
        CHECK(std::hypot(colours[a].r - colours[b].r, colours[a].g - colours[b].g,
                         colours[a].b - colours[b].b) > 40);
      }
  }
  const auto same = [](Colour a, Colour b) { return a.r == b.r && a.g == b.g && a.b == b.b; };
  for (const ChartStack& stack : stacks)
    CHECK(same(stack_colours(std::span(&stack, 1))[0], group_colour(stack.name)));
  // Whoever has a colour of its own keeps it in any company.
  CHECK(same(stack_colours(stacks)[0], group_colour("Ephemeroptera")));
}

}  // namespace brookmark::viewer
