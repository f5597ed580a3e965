// A report asked for in the window: what is missing is said, and what is written is what the verb writes.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <iterator>

#include "bench.hpp"
#include "core/sharing/sharing.hpp"
#include "demo_area/demo.hpp"
#include "viewer/report/write_report.hpp"

namespace brookmark::viewer {
namespace {

std::string bytes_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

struct ReportBench : Bench {
  ReportBench() {
    demo::make_demo_survey(file("demo.brook"));
    act(DropFile{file("demo.brook").string()});
    finish();
    setenv("SOURCE_DATE_EPOCH", "1717243200", 1);
  }
  ~ReportBench() { unsetenv("SOURCE_DATE_EPOCH"); }
  std::string missing() { return missing_in(stage.state(), model); }
};

}  // namespace

TEST_CASE(
    "a report is written from the window, the same bytes as the same wish gives elsewhere, and a message "
    "stays") {
  ReportBench bench;
  for (const char* name : {"a.html", "a.pdf"}) {
    bench.act(OpenDialog{DialogKind::kReport});
    bench.finish();
    bench.fill([&](Dialog& d) { d.name = name; });
    REQUIRE(bench.missing() == "");
    bench.act(RunDialog{});
    bench.finish();
    REQUIRE_FALSE(bench.stage.state().messages.empty());
    const std::string said = bench.stage.state().messages.back().text;
    CHECK(said.find("Wrote ") == 0);
    CHECK(said.find(name) != std::string::npos);
    ReportWish wish;
    wish.target = bench.file((std::string("b-") + name).c_str());
    wish.method = std::make_shared<const core::Method>(*bench.model.methods()[0]);
    wish.rules.until = bench.stage.state().date;
    write_report(open_session(bench.file("demo.brook")), wish);
    const bool same = bytes_of(bench.file(name)) == bytes_of(wish.target);
    CHECK(same);
  }
}

TEST_CASE("a report can be about one site or one catchment") {
  ReportBench bench;
  const core::Snapshot& s = bench.model.snapshot();
  bench.act(OpenDialog{DialogKind::kReport});
  bench.finish();
  bench.fill([&](Dialog& d) {
    d.name = "q04.html";
    d.about_site = std::string(s.sites.key[s.find_site("Q04")->value()]);
  });
  bench.act(RunDialog{});
  bench.finish();
  CHECK(bytes_of(bench.file("q04.html")).find("<h1>Q04 Below the pumping station</h1>") != std::string::npos);
  bench.act(OpenDialog{DialogKind::kReport});
  bench.finish();
  bench.fill([&](Dialog& d) {
    d.name = "c4.html";
    for (const core::Catchment& catchment : bench.model.snapshot().catchments)
      if (catchment.code == "C4") d.about_catchment = catchment.key;
  });
  bench.act(RunDialog{});
  bench.finish();
  CHECK(bytes_of(bench.file("c4.html")).find("<h1>Middle Quarrendel (C4)") != std::string::npos);
}

TEST_CASE("what a report still needs is said, and what stays at home is shown before it is written") {
  ReportBench bench;
  bench.act(OpenDialog{DialogKind::kReport});
  bench.finish();
  REQUIRE(bench.stage.state().desk.leaving);
  CHECK(bench.stage.state().desk.leaving->hidden.size() ==
        core::share(bench.model.snapshot(), {.until = bench.stage.state().date}).hidden().size());
  bench.fill([](Dialog& d) { d.name = "report.docx"; });
  CHECK(bench.missing() == "Let the name end in .html or .pdf.");
  bench.fill([](Dialog& d) { d.name = ""; });
  CHECK(bench.missing() == "Give the file a name.");
  bench.fill([](Dialog& d) { d.name = "r.pdf", d.cell = "wide"; });
  CHECK(bench.missing().find("grid cell") != std::string::npos);
  std::ofstream(bench.file("r.pdf")) << "mine";
  bench.fill([](Dialog& d) { d.cell = "1 km"; });
  CHECK(bench.missing().find("already there") != std::string::npos);
  bench.act(RunDialog{});
  bench.finish();
  CHECK(bytes_of(bench.file("r.pdf")) == "mine");
  bench.fill([](Dialog& d) { d.replace = true; });
  CHECK(bench.missing() == "");
}

}  // namespace brookmark::viewer
