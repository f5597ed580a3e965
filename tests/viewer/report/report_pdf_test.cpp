// The PDF of a report, looked at by poppler-utils and qpdf.
#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include "core/base/text.hpp"
#include "tests/viewer/cli/run_cli.hpp"
#include "tests/viewer/report/public_tools.hpp"
#include "viewer/report/document.hpp"

using namespace brookmark::test;

namespace {

struct Written {
  TemporaryFolder folder;
  std::string file = (folder / "r.pdf").string();
  explicit Written(const std::vector<std::string>& more = {}) {
    std::vector<std::string> words{"report", demo(), file};
    words.insert(words.end(), more.begin(), more.end());
    run_well(words);
  }
  std::string info(const std::string& what) const {
    const std::string said = tool("pdfinfo " + quoted(file)).text;
    const std::size_t at = said.find(what + ":");
    REQUIRE(at != std::string::npos);
    const std::size_t begin = said.find_first_not_of(' ', at + what.size() + 1);
    return said.substr(begin, said.find('\n', begin) - begin);
  }
};

}  // namespace

TEST_CASE("a PDF report is sound, has real text, and every font is embedded as a part") {
  const Written w;
  const Said check = tool("qpdf --check " + quoted(w.file));
  CAPTURE(check.text);
  CHECK(check.code == 0);
  const Said text = tool("pdftotext -layout " + quoted(w.file) + " -");
  REQUIRE(text.code == 0);
  for (const char* words : {"Report on Quarrendel Brook (invented)", "The worst stretches, and why",
                            "Seriously polluted", "OUT-2 storm sewage", "recalled from memory",
                            "It does not say that water is safe to drink", "Q04-2025-10"})
    CHECK_MESSAGE(says(text.text, words), words);
  const Said fonts = tool("pdffonts " + quoted(w.file));
  REQUIRE(fonts.code == 0);
  const auto lines = brookmark::core::split(fonts.text, '\n');
  REQUIRE(lines.size() >= 4);
  std::size_t seen = 0;
  const std::size_t emb = lines[0].find("emb"), sub = lines[0].find("sub"), uni = lines[0].find("uni");
  for (std::size_t i = 2; i < lines.size(); ++i) {
    if (lines[i].size() < uni + 3) continue;
    ++seen;
    CAPTURE(lines[i]);
    CHECK(lines[i].substr(emb, 3) == "yes");
    CHECK(lines[i].substr(sub, 3) == "yes");
    CHECK(lines[i].substr(uni, 3) == "yes");  // words can be copied out and read aloud
  }
  CHECK(seen >= 2);
}

TEST_CASE("a PDF report names itself and leads to its headings by bookmarks") {
  const Written w;
  CHECK(w.info("Title") == "Report on Quarrendel Brook (invented)");
  CHECK(says(w.info("Subject"), "BMWP score and ASPT"));
  const Said outlines = tool("qpdf --json --json-key=outlines " + quoted(w.file));
  REQUIRE(outlines.code == 0);
  const auto read = nlohmann::json::parse(outlines.text);
  REQUIRE(read["outlines"].size() == 1);
  const auto& whole = read["outlines"][0];
  CHECK(whole["title"] == "Report on Quarrendel Brook (invented)");
  std::vector<std::string> titles;
  int page = 0;
  for (const auto& kid : whole["kids"]) {
    titles.push_back(kid["title"]);
    const int on = kid["destpageposfrom1"];
    CHECK(on >= page);  // in the order of the pages
    page = on;
  }
  CHECK(titles.front() == "In short");
  CHECK(std::find(titles.begin(), titles.end(), "Method and source") != titles.end());
  CHECK(std::find(titles.begin(), titles.end(), "What this does not say") != titles.end());
  // Each bookmark leads to the page on which its heading stands.
  for (const auto& kid : whole["kids"]) {
    const std::string number = std::to_string(static_cast<int>(kid["destpageposfrom1"]));
    const Said text = tool("pdftotext -f " + number + " -l " + number + " " + quoted(w.file) + " -");
    CHECK(says(text.text, std::string(kid["title"])));
  }
}

TEST_CASE(
    "on paper no table ends a page with its title or head alone, and no page begins with one stray row") {
  const TemporaryFolder folder;
  const std::string file = (folder / "t.pdf").string();
  for (int above = 30; above < 75; ++above) {
    brookmark::viewer::Document document;
    document.title = "T";
    document.date = "2025-06-10";
    for (int i = 0; i < above; ++i) document.add(brookmark::viewer::TextBlock{"line"});
    brookmark::viewer::TableBlock table{"Title of it", {"Head of it", "b"}, {}, {}};
    for (int i = 0; i < 4; ++i) table.rows.push_back({"row" + std::to_string(i), "x"});
    document.add(table);
    document.add(brookmark::viewer::ListBlock{{"item0", "item1", "item2"}});
    document.may_shrink = false;
    write_text(file, brookmark::viewer::to_pdf(document));
    CAPTURE(above);
    const auto pages = brookmark::core::split(tool("pdftotext -layout " + quoted(file) + " -").text, '\f');
    for (std::size_t p = 0; p + 1 < pages.size(); ++p) {
      const bool title_alone = says(pages[p], "Title of it") && !says(pages[p], "row0");
      CHECK_FALSE(title_alone);
      const bool last_row_alone = says(pages[p], "row3") && !says(pages[p], "row2");
      CHECK_FALSE(last_row_alone);
      const bool last_item_alone = says(pages[p], "item2") && !says(pages[p], "item1");
      CHECK_FALSE(last_item_alone);
      const bool first_item_alone = says(pages[p], "item0") && !says(pages[p], "item1");
      CHECK_FALSE(first_item_alone);
    }
  }
}

TEST_CASE("a watercourse and the catchment named after it stand once on a map") {
  const Written w({"--site", "Q04"});
  const std::string text = tool("pdftotext " + quoted(w.file) + " -").text;
  const std::size_t first = text.find("Pellow Drain");
  REQUIRE(first != std::string::npos);
  CHECK(text.find("Pellow Drain", first + 1) == std::string::npos);
}

TEST_CASE("the card of every site is one page") {
  for (const char* site : {"Q04", "Q01", "N01", "N03", "D01", "S02", "M01", "E01"}) {
    CAPTURE(site);
    const Written w({"--site", site});
    CHECK(w.info("Pages") == "1");
    CHECK(says(w.info("Title"), site));
  }
}

TEST_CASE("with a fixed clock the same survey gives the same bytes, whatever was drawn before") {
  setenv("SOURCE_DATE_EPOCH", "1717243200", 1);
  const Written one, other({"--site", "Q04"}), again;
  CHECK(read_text(one.file) == read_text(again.file));
  CHECK(says(tool("pdfinfo -isodates " + quoted(one.file)).text, "2024-06-01"));
  const TemporaryFolder folder;
  run_well({"report", demo(), (folder / "a.html").string()});
  run_well({"report", demo(), (folder / "c.html").string(), "--site", "Q04"});
  run_well({"report", demo(), (folder / "b.html").string()});
  CHECK(read_text(folder / "a.html") == read_text(folder / "b.html"));
  unsetenv("SOURCE_DATE_EPOCH");
}

TEST_CASE(
    "a PDF report is tagged: read in order it says what the page says, table heads and figures included") {
  const Written w;
  CHECK(w.info("Tagged") == "yes");
  CHECK(tool("qpdf --check " + quoted(w.file)).code == 0);
  const Said structure = tool("pdfinfo -struct-text " + quoted(w.file));
  REQUIRE(structure.code == 0);
  CHECK_FALSE(says(structure.text, "Syntax Error"));
  const auto lines = brookmark::core::split(structure.text, '\n');
  CHECK(brookmark::core::trim(lines.at(0)) == "Document");
  const auto count = [&](const std::string& name) {
    std::size_t found = 0;
    for (const auto& line : lines) {
      const std::string words(brookmark::core::trim(line));
      // "TH:" where attributes follow.
      found += words == name || words == name + ":" || words.starts_with(name + " (") ? 1 : 0;
    }
    return found;
  };
  CHECK(count("H1") == 1);
  CHECK(count("H2") > 5);
  CHECK(count("Table") > 5);
  CHECK(count("TD") > 1000);
  CHECK(count("TR") > 300);
  CHECK(count("LI") > 10);
  CHECK(count("Figure") > 5);
  CHECK(count("Link") == count("H2"));  // the contents lead to each main heading
  // Every word of the text is in the structure, but for the foot of each page and heads that come again: the tables of the
  // HTML page have as many rows and heads.
  const TemporaryFolder folder;
  const std::string html_file = (folder / "r.html").string();
  run_well({"report", demo(), html_file});
  const std::string html = read_text(html_file);
  const auto in_html = [&](const std::string& tag) {
    std::size_t found = 0;
    for (std::size_t at = html.find("<" + tag); at != std::string::npos; at = html.find("<" + tag, at + 1))
      found += html[at + 1 + tag.size()] == '>' || html[at + 1 + tag.size()] == ' ' ? 1 : 0;
    return found;
  };
  CHECK(count("TR") == in_html("tr"));
  CHECK(count("TD") == in_html("td"));
  CHECK(count("TH") == in_html("th"));
  CHECK(count("Figure") == in_html("figure"));
  CHECK(count("H2") == in_html("h2"));
  CHECK(count("H3") == in_html("h3"));
}

TEST_CASE("the tags of a PDF hold what each figure shows, which way heads look, and the language") {
  const Written w;
  const Said objects = tool("qpdf --qdf --object-streams=disable " + quoted(w.file) + " - | strings -n 3");
  REQUIRE(objects.code == 0);
  const std::string& text = objects.text;
  CHECK(says(text, "/Lang (en)"));
  CHECK(says(text, "/DisplayDocTitle true"));
  const auto count = [&](const std::string& words) {
    std::size_t found = 0;
    for (std::size_t at = text.find(words); at != std::string::npos; at = text.find(words, at + 1)) ++found;
    return found;
  };
  CHECK(count("/S /Figure") > 5);
  CHECK(count("/Alt ") == count("/S /Figure"));
  CHECK(count("/S /TH") > 50);
  CHECK(count("/Scope /Row") + count("/Scope /Column") == count("/S /TH"));
  CHECK(count("/Scope /Row") > 20);
}

TEST_CASE(
    "text of other scripts in what a figure shows, and words over several pages, stay whole in the tags") {
  const TemporaryFolder folder;
  const std::string file = (folder / "t.pdf").string();
  brookmark::viewer::Document document;
  document.title = "T";
  document.date = "2025-06-10";
  document.contents = true;
  document.may_shrink = false;
  std::string words;
  for (int i = 0; i < 2500; ++i) words += "word" + std::to_string(i) + " ";
  document.add(brookmark::viewer::HeadingBlock{"One (of) two\\"});
  document.add(brookmark::viewer::TextBlock{words});
  document.add(brookmark::viewer::FigureBlock{
      {{"", "fl\u00F8t \u2013 \U0001F41F (fish)", "", 100, 50, [](brookmark::viewer::Canvas& canvas) {
          canvas.disc({20, 20}, 5, {0, 0, 0});
        }}}});
  write_text(file, brookmark::viewer::to_pdf(document));
  CHECK(tool("qpdf --check " + quoted(file)).code == 0);
  const std::string text = tool("pdfinfo -struct-text " + quoted(file)).text;
  std::size_t at = 0;
  for (int i = 0; i < 2500; ++i) {
    const std::size_t next = text.find("word" + std::to_string(i), at);
    if (next == std::string::npos) REQUIRE_MESSAGE(false, "word" << i << " is missing");
    at = next;
  }
  const std::string second = tool("pdftotext -f 2 -l 2 " + quoted(file) + " -").text;
  CHECK(second.find("page 2 of ") != std::string::npos);
  // Words of two lines do not run together where they are read: a line keeps the blank behind it.
  std::string spoken;
  for (const char c : text)
    if (c != '\n') spoken += c;
  std::size_t apart = 0;
  for (int i = 0; i + 1 < 2500; ++i)
    apart += spoken.find("word" + std::to_string(i) + " word" + std::to_string(i + 1)) != std::string::npos
                 ? 1
                 : 0;
  CHECK(apart > 2400);  // all but where a page ends
  // UTF-16 by hand: \u00F8 is 00F8, \u2013 is 2013, U+1F41F is the pair D83D DC1F.
  CHECK(says(read_text(file), "/Alt <FEFF0066006C00F80074002020130020D83DDC1F0020"));
}
