// The SLD of every drawn layer, held against the content models of OGC 02-070 (tests/reference/sld says how they were confirmed).
#include <cpl_minixml.h>
#include <doctest/doctest.h>

#include <map>
#include <memory>
#include <regex>
#include <set>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "geodata/layer_styles_internal.hpp"
#include "tests/geodata/small_survey.hpp"
#include "tests/support/files.hpp"

using namespace brookmark;
using brookmark::test::SmallSurvey;

namespace {

struct Content {
  std::regex children;
  std::string attribute;
};

// "Name? (A|B)*" over names that end with a slash each.
std::regex content_model(const std::string& words) {
  std::string pattern = std::regex_replace(words, std::regex("([A-Za-z]+)"), "(?:$1/)");
  std::erase(pattern, ' ');
  return std::regex(pattern, std::regex::ECMAScript | std::regex::nosubs);
}

std::map<std::string, Content> content_models() {
  std::map<std::string, Content> models;
  const core::Table table = core::read_csv_file(test::reference("sld/content_1_0_0.csv"));
  for (const core::TableRow& row : table.rows)
    models.emplace(row.cells[0], Content{content_model(row.cells[1]), row.cells[2]});
  return models;
}

// The first breach of the models below a node; empty where there is none. Prefixes: sld for styles, ogc for filters.
std::string breach(const CPLXMLNode& node, const std::map<std::string, Content>& models) {
  static const std::set<std::string> kFilters = {"Filter", "PropertyIsEqualTo", "PropertyIsNull",
                                                 "PropertyName", "Literal"};
  const std::string full = node.pszValue, name = full.substr(full.find(':') + 1);
  if (full.substr(0, full.find(':')) != (kFilters.contains(name) ? "ogc" : "sld"))
    return full + ": another prefix";
  const auto model = models.find(name);
  if (model == models.end()) return full + ": unknown";
  std::string children;
  bool has_attribute = model->second.attribute.empty();
  for (const CPLXMLNode* child = node.psChild; child != nullptr; child = child->psNext) {
    if (child->eType == CXT_Attribute && child->pszValue == model->second.attribute) has_attribute = true;
    if (child->eType != CXT_Element) continue;
    children += std::string(child->pszValue).substr(std::string(child->pszValue).find(':') + 1) + "/";
    if (const std::string below = breach(*child, models); !below.empty()) return below;
  }
  if (!has_attribute) return full + ": without " + model->second.attribute;
  return std::regex_match(children, model->second.children) ? "" : full + ": " + children;
}

std::string breach_of(const std::string& sld) {
  static const auto models = content_models();
  const std::unique_ptr<CPLXMLNode, void (*)(CPLXMLNode*)> root(CPLParseXMLString(sld.c_str()),
                                                                CPLDestroyXMLNode);
  REQUIRE(root != nullptr);
  const CPLXMLNode* top = root.get();
  while (top != nullptr && (top->eType != CXT_Element || top->pszValue[0] == '?')) top = top->psNext;
  REQUIRE(top != nullptr);
  return breach(*top, models);
}

std::string with(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("the SLD of every drawn layer keeps to the content models of the standard") {
  const SmallSurvey survey;
  const auto styles = geodata::layer_styles(survey.source());
  CHECK(styles.size() == 7);
  for (const auto& [layer, style] : styles) {
    CAPTURE(layer);
    CHECK(breach_of(geodata::sld_of(layer, style)) == "");
  }
}

TEST_CASE("an SLD that breaks a content model is found out") {
  const SmallSurvey survey;
  const auto styles = geodata::layer_styles(survey.source());
  const std::string sld = geodata::sld_of("sites", styles.at("sites"));
  for (const auto& [from, to] : {std::pair{"<sld:IsDefault>1</sld:IsDefault>", ""},
                                 {"</sld:Title>", "</sld:Title><!-- said twice -->"}})
    CHECK(breach_of(with(sld, from, to)) == "");  // neither must be there
  CHECK(breach_of(with(sld, "version=\"1.0.0\" ", ""))
            .starts_with("sld:StyledLayerDescriptor: without version"));
  CHECK(breach_of(with(sld, "<sld:Name>sites</sld:Name>", "")).starts_with("sld:NamedLayer: "));
  CHECK(
      breach_of(with(sld, "<sld:IsDefault>1</sld:IsDefault>", "<sld:IsDefault>1</sld:IsDefault><sld:Title/>"))
          .starts_with("sld:UserStyle: "));
  CHECK(breach_of(with(sld, "name=\"fill\"", "")).starts_with("sld:CssParameter: without name"));
  CHECK(breach_of(with(sld, "<sld:Font>", "<sld:Fill/><sld:Font>")).starts_with("sld:TextSymbolizer: "));
  CHECK(breach_of(with(sld, "<ogc:Filter>", "<sld:Stroke/><ogc:Filter>")).starts_with("sld:Rule: "));
}
