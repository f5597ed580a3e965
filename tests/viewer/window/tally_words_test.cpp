// How a name on the tally is read, and whether it can count: against the explanation of scored samples.
#include "viewer/actions/tally_words.hpp"

#include <doctest/doctest.h>

#include "core/scoring/score.hpp"
#include "core/survey/rows.hpp"
#include "core/taxa/checklist.hpp"
#include "demo_area/demo.hpp"
#include "sample_survey.hpp"
#include "tests/support/files.hpp"
#include "viewer/session.hpp"

namespace brookmark::viewer {
namespace {

std::vector<core::Taxon> lineage_of(const core::Snapshot& s, core::TaxonIndex taxon) {
  std::vector<core::Taxon> lineage;
  for (core::TaxonIndex t = taxon; t.has_value(); t = s.taxa.parent[t.value()])
    lineage.push_back(core::taxon_row(s, t));
  return lineage;
}

}  // namespace

TEST_CASE("a record has a line of the method's table exactly where its explanation names one") {
  const test::TemporaryFolder folder;
  demo::make_demo_survey(folder / "d.brook");
  std::size_t with = 0, without = 0;
  for (const core::Snapshot& s : {test::sample_snapshot(), open_session(folder / "d.brook").snapshot})
    for (const core::Method& method : core::shipped_methods()) {
      if (method.units.empty()) continue;
      for (std::size_t i = 0; i < std::min<std::size_t>(s.samples.size(), 60); ++i)
        for (const core::RecordPart& part :
             core::explain_sample(s, method, method.metrics.front(), core::SampleIndex(i))) {
          const std::size_t r = part.record.value();
          if (s.records.quantity[r] == core::QuantityKind::kAbsent ||
              s.records.stage[r] != core::LifeStage::kUnknown)
            continue;
          const bool line = has_a_line(method, lineage_of(s, s.records.taxon[r]));
          CAPTURE(method.id);
          CAPTURE(std::string(s.records.verbatim_name[r]));
          CHECK(line == !part.unit.empty());
          line ? ++with : ++without;
        }
    }
  CHECK(with > 100);
  CHECK(without > 10);
}

TEST_CASE("a coarse, an unlisted and a common name are said as they are read") {
  const core::Method* bmwp = core::find_method("bmwp-a");
  REQUIRE(bmwp);
  const auto read = [&](const char* name) {
    return read_as(core::checklist().match(name).lineage, name, bmwp);
  };
  CHECK(read("Malacostraca") == "class: will not score");
  CHECK(read("Gammaridae").empty());
  CHECK(read("Gammarus").empty());
  CHECK(read("Oligochaeta") == "subclass");
  CHECK(read("non-biting midge") == "= Chironomidae (family)");
  CHECK(read("Quarrelus inventus") == "not in the checklist: will not score");
  CHECK(read_as({}, "x", bmwp).empty());
  CHECK(read_as(core::checklist().match("Malacostraca").lineage, "Malacostraca", nullptr) == "class");
}

}  // namespace brookmark::viewer
