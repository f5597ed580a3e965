// The table of samples: what passes, in which order, and as CSV.
#include <doctest/doctest.h>
#include <imgui.h>

#include <algorithm>
#include <set>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "frames.hpp"
#include "sample_survey.hpp"
#include "viewer/panels/stage.hpp"
#include "viewer/state/model.hpp"
#include "viewer/state/sample_table.hpp"

namespace brookmark::viewer {

namespace {

struct Sheet {
  Model model{make_session(test::sample_snapshot())};
  const core::Snapshot& s = model.snapshot();
  const core::ScoreTable& scores = model.scores(0);
  std::vector<core::SampleIndex> rows(const SampleQuestion& question) const {
    return order_samples(s, scores, question);
  }
};

}  // namespace

TEST_CASE("every column sorts both ways, what has no value stands last, and no row is lost") {
  const Sheet sheet;
  for (std::size_t c = 0; c < kTableColumnCount; ++c)
    for (const bool descending : {false, true}) {
      SampleQuestion question;
      question.choice.sort = static_cast<TableColumn>(c);
      question.choice.descending = descending;
      const auto rows = sheet.rows(question);
      CHECK(rows.size() == sheet.s.samples.size());
      CHECK(std::set(rows.begin(), rows.end()).size() == rows.size());
      if (question.choice.sort != TableColumn::kValue && question.choice.sort != TableColumn::kDate) continue;
      bool ended = false;
      for (std::size_t i = 1; i < rows.size(); ++i) {
        if (question.choice.sort == TableColumn::kDate) {
          const auto a = sheet.s.samples.date[rows[i - 1].value()], b = sheet.s.samples.date[rows[i].value()];
          CHECK((descending ? b <= a : a <= b));
          continue;
        }
        const core::SampleScore &a = sheet.scores.metrics[0][rows[i - 1].value()],
                                &b = sheet.scores.metrics[0][rows[i].value()];
        ended = ended || !a.has_value;
        if (ended)
          CHECK_FALSE(b.has_value);
        else if (b.has_value)
          CHECK((descending ? b.value <= a.value : a.value <= b.value));
      }
    }
}

TEST_CASE("the filter looks into codes, names, waters and days, accents and case apart") {
  const Sheet sheet;
  SampleQuestion question;
  const auto count = [&](const char* words) {
    question.choice.filter = words;
    return sheet.rows(question).size();
  };
  const auto [first, last] = sheet.s.samples_of(*sheet.s.find_site("T05"));
  CHECK(count("t05") == last.value() - first.value());
  CHECK(count("TARNET") > 0);
  CHECK(count("2022-") == static_cast<std::size_t>(std::count_if(
                              sheet.s.samples.date.begin(), sheet.s.samples.date.end(),
                              [](core::Date d) { return core::year_month_day(d).year == 2022; })));
  CHECK(count("may 2022") == static_cast<std::size_t>(std::count_if(
                                 sheet.s.samples.date.begin(), sheet.s.samples.date.end(), [](core::Date d) {
                                   const core::YearMonthDay day = core::year_month_day(d);
                                   return day.year == 2022 && day.month == 5;
                                 })));
  CHECK(count("no such words anywhere") == 0);
  CHECK(count("") == sheet.s.samples.size());
}

TEST_CASE("only the period's samples, and only those of sites drawn round, where that is asked") {
  const Sheet sheet;
  SampleQuestion question;
  question.period = core::Period(*core::parse_date("2022-12-31"), core::parse_date("2022-01-01"));
  for (const core::SampleIndex row : sheet.rows(question))
    CHECK(core::year_month_day(sheet.s.samples.date[row.value()]).year == 2022);
  question.choice.in_period = false;
  CHECK(sheet.rows(question).size() == sheet.s.samples.size());
  question.selection = std::vector{*sheet.s.find_site("T02"), *sheet.s.find_site("T05")};
  std::set<core::SiteIndex> seen;
  for (const core::SampleIndex row : sheet.rows(question)) seen.insert(sheet.s.samples.site[row.value()]);
  CHECK(seen.size() == 2);
  question.selection = std::vector<core::SiteIndex>{};  // drawn, and no site lies inside
  CHECK(sheet.rows(question).empty());
  question.selection.reset();  // nobody drew
  CHECK(sheet.rows(question).size() == sheet.s.samples.size());
  question.selection = std::vector<core::SiteIndex>{};
  question.choice.selection_only = false;
  CHECK(sheet.rows(question).size() == sheet.s.samples.size());
}

TEST_CASE("the copy is a CSV that reads back, with a head and no class that does not hold") {
  const Sheet sheet;
  const auto rows = sheet.rows({});
  const core::Table table = core::read_csv(samples_as_csv(sheet.s, sheet.scores, 0, rows), "copy");
  REQUIRE(table.rows.size() == rows.size());
  CHECK(table.columns.front() == "sample");
  CHECK(table.columns.back() == "confirmed");
  for (std::size_t r = 0; r < rows.size(); ++r) {
    const core::SampleScore& score = sheet.scores.metrics[0][rows[r].value()];
    CHECK(table.rows[r].issue.empty());
    CHECK(table.rows[r].cells[*table.find("value")].empty() == !score.has_value);
    if (!score.in_scope) CHECK(table.rows[r].cells[*table.find("class")].empty());
    CHECK(table.rows[r].cells[*table.find("in_scope")] == (!score.has_value ? ""
                                                           : score.in_scope ? "yes"
                                                                            : "no"));
    if (score.has_value && !score.in_scope)
      CHECK(shown_cell(sheet.s, sheet.scores, 0, rows[r], TableColumn::kClass) == "outside scope");
    CHECK(table.rows[r].cells[*table.find("date")] ==
          core::format_date(sheet.s.samples.date[rows[r].value()]));
  }
  CHECK(core::read_csv(samples_as_csv(sheet.s, sheet.scores, 0, {}) + "x", "copy").rows.size() == 1);
}

TEST_CASE("a survey without samples has an empty table") {
  const Model model(make_session(test::empty_snapshot()));
  CHECK(order_samples(model.snapshot(), model.scores(0), {}).empty());
}

TEST_CASE("a tap on a row opens its sample, the one behind the site's class too, and never closes it") {
  Model model(make_session(test::sample_snapshot()));
  Stage stage(model, {}, {});
  stage.resize(1600, 1000);
  SampleQuestion question;
  question.choice = stage.state().table;
  question.metric = stage.state().choice.metric;
  question.period = stage.state().period();
  const auto rows = order_samples(model.snapshot(), model.scores(stage.state().choice.method), question);
  REQUIRE(rows.size() > 4);
  stage.apply(ShowPage{Page::kTable});
  int behind = 0;
  for (std::size_t r = 0; r < 5; ++r) {
    draw_frames(stage, 3);
    std::vector<PixelBox> lines;  // of rows: the only targets that bear a site's code
    for (const Target& target : stage.targets())
      if (model.snapshot().find_site(target.words)) lines.push_back(target.box);
    REQUIRE(lines.size() > r);
    for (const bool down : {false, true, true, false, false}) {
      ImGuiIO& io = ImGui::GetIO();
      io.MousePos = {static_cast<float>(lines[r].left + 8),
                     static_cast<float>(lines[r].top + lines[r].height / 2)};
      io.MouseDown[0] = down;
      draw_frames(stage);
    }
    draw_frames(stage);
    CAPTURE(r);
    CHECK(stage.state().sample == rows[r]);
    CHECK(stage.state().page == Page::kTable);
    const auto* assessed = model.assessment(stage.state().choice, stage.state().period());
    REQUIRE(assessed);
    if (assessed->sites[model.snapshot().samples.site[rows[r].value()].value()].sample == rows[r]) ++behind;
  }
  CHECK(behind > 0);
}

}  // namespace brookmark::viewer
