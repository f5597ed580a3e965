#include "viewer/report/document.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

using namespace brookmark::viewer;

namespace {

Document sheet(std::size_t rows) {
  Document document;
  document.title = "A & B";
  document.subtitle = "one day";
  document.footer = "foot";
  document.date = "2025-06-10";
  document.add(TextBlock{"mind the <mud>", true});
  TableBlock table{"Order", {"Site", "What"}, {1, 3}, {}, 0, false};
  for (std::size_t i = 0; i < rows; ++i) table.rows.push_back({"S" + std::to_string(i), "to do"});
  document.add(table);
  document.add(ListBlock{{"first", "second"}});
  document.add(TableBlock{"Tally", {"Animal", "S1"}, {}, {}, 5, true});
  return document;
}

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t found = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++found;
  return found;
}

// Pages of a file that cairo wrote: its page tree says how many.
std::string pages(const std::string& pdf) {
  const std::size_t at = pdf.find("/Count ");
  REQUIRE(at != std::string::npos);
  return pdf.substr(at + 7, pdf.find_first_not_of("0123456789", at + 7) - at - 7);
}

}  // namespace

TEST_CASE("HTML escapes what it is given and keeps rows, heads and blank rows") {
  const std::string html = to_html(sheet(3));
  CHECK(html.find("<h1>A &amp; B</h1>") != std::string::npos);
  CHECK(html.find("mind the &lt;mud&gt;") != std::string::npos);
  CHECK(html.find("<mud>") == std::string::npos);
  CHECK(count(html, "<tr>") == 1 + 3 + 1 + 12);
  CHECK(count(html, "scope=\"col\"") == 4);
}

TEST_CASE("a PDF of little fits one page, one of much takes more, and the same words give the same bytes") {
  CHECK(pages(to_pdf(sheet(5))) == "1");
  CHECK(pages(to_pdf(sheet(120))) != "1");
  CHECK(to_pdf(sheet(5)) == to_pdf(sheet(5)));
  CHECK(to_pdf(sheet(5)) != to_pdf(sheet(6)));
}

TEST_CASE(
    "an empty document, a word wider than the page and signs outside the main font are drawn all the same") {
  Document document;
  CHECK(to_pdf(document).starts_with("%PDF-"));
  document.title = std::string(400, 'w');
  std::string wide(5000, 'm');
  wide += " 水 → ≥ Grønåen";
  document.add(TextBlock{wide, false});
  document.add(TableBlock{"", {"only"}, {}, {{""}, {std::string(900, 'x')}}, 0, false});
  CHECK(to_pdf(document).starts_with("%PDF-"));
}

TEST_CASE("on a small screen the contents stand in one column and a wide table says that it goes on") {
  Document document = sheet(3);
  document.contents = true;
  document.add(HeadingBlock{"A heading"});
  const std::string html = to_html(document);
  const std::size_t small = html.find("@media (max-width: 40rem)");
  REQUIRE(small != std::string::npos);
  CHECK(html.substr(small, html.find('\n', small) - small).find("nav ol { columns: 1; }") !=
        std::string::npos);
  CHECK(count(html, "class=\"hint\"") == count(html, "class=\"wide\""));
}
