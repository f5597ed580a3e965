// Why: what a partner does to a file that was handed over, and what is made of it when it comes back.
// Use: hand_over(survey, file); edit(file, [](GDALDataset& data) { run_sql(data, "..."); }); compared(survey, file).list
#pragma once

#include <doctest/doctest.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <functional>
#include <memory>

#include "geodata/export.hpp"
#include "geodata/returned_gpkg.hpp"
#include "geodata/vector_input.hpp"
#include "tests/support/secret_survey.hpp"

namespace brookmark::test {

using namespace core;  // NOLINT: many words of the trade in one place
using geodata::export_survey;
using geodata::ExportOptions;
using geodata::read_returned;
using geodata::Returned;

inline void hand_over(const std::filesystem::path& survey, const std::filesystem::path& file,
                      const ExportOptions& options = {}) {
  const auto handed = prepare_hand_over(SurveyFile::open(survey, Access::kRead).read(),
                                        {&shipped_methods().front(), [](const auto*) {}}, 0);
  export_survey(geodata::source_of(*handed), file, options);
}

inline void edit(const std::filesystem::path& file, const std::function<void(GDALDataset&)>& work) {
  geodata::start_geodata();
  GDALDataset* dataset = GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE);
  REQUIRE(dataset != nullptr);
  work(*dataset);
  GDALClose(dataset);
}

inline void run_sql(GDALDataset& dataset, const std::string& sql) {
  OGRLayer* result = dataset.ExecuteSQL(sql.c_str(), nullptr, nullptr);
  if (result != nullptr) dataset.ReleaseResultSet(result);
}

inline void change_feature(GDALDataset& dataset, const char* layer_name, const std::string& code,
                           const std::function<void(OGRFeature&)>& change) {
  OGRLayer* layer = dataset.GetLayerByName(layer_name);
  REQUIRE(layer != nullptr);
  layer->SetAttributeFilter(("code = '" + code + "'").c_str());
  const std::unique_ptr<OGRFeature> feature(layer->GetNextFeature());
  REQUIRE(feature != nullptr);
  change(*feature);
  REQUIRE(layer->SetFeature(feature.get()) == OGRERR_NONE);
  layer->SetAttributeFilter(nullptr);
}

struct Compared {
  Snapshot snapshot;
  Returned back;
  ChangeList list;
};

inline Compared compared(const std::filesystem::path& survey, const std::filesystem::path& file) {
  Compared c{SurveyFile::open(survey, Access::kRead).read(), {}, {}};
  c.back = read_returned(file, c.snapshot);
  c.list = compare_returned(c.snapshot, share(c.snapshot, c.back.file.rules), c.back.file, c.back.place_text);
  return c;
}

inline void accept(const std::filesystem::path& survey, const std::filesystem::path& file,
                   const std::vector<std::string>& words) {
  const Compared c = compared(survey, file);
  SurveyFile open = SurveyFile::open(survey, Access::kEdit);
  open.apply(accept_changes(c.list, words, c.snapshot, c.back.file));
}

inline const Change* find_change(const ChangeList& list, const std::string& id) {
  const auto found =
      std::find_if(list.changes.begin(), list.changes.end(), [&](const Change& c) { return c.id == id; });
  return found == list.changes.end() ? nullptr : &*found;
}

}  // namespace brookmark::test
