// Why: everything analytical is a pure function over immutable columns: no SQL, no I/O, no globals.
// A Snapshot is one survey file, read once. Rows of one column group share their index.
// Use: for (std::size_t r = s.samples.record_begin[i]; r < s.samples.record_begin[i + 1]; ++r) s.records.taxon[r];
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/base/index.hpp"
#include "core/base/text_column.hpp"
#include "core/survey/types.hpp"

namespace brookmark::core {

// Ordered so that a parent stands before its children.
struct TaxonColumns {
  TextColumn key, name;
  std::vector<Rank> rank;
  std::vector<TaxonIndex> parent;
  std::vector<bool> listed;
  std::size_t size() const { return rank.size(); }
};

// Ordered by code.
struct SiteColumns {
  TextColumn key, code, name, water, habitat, note, type;
  std::vector<WaterKind> kind;
  std::vector<SiteStatus> status;
  std::vector<bool> reference;
  std::vector<Sharing> sharing;
  std::vector<LonLat> position;  // kUnplaced where none was noted
  std::vector<std::optional<double>> accuracy_m;
  std::vector<RawPosition> raw;
  std::size_t size() const { return kind.size(); }
};

struct VisitColumns {
  TextColumn key, people, weather, conditions, note;
  std::vector<SiteIndex> site;
  std::vector<Moment> start;
  std::size_t size() const { return site.size(); }
};

// Ordered by site, then date, then code: the samples of one site are neighbours, oldest first.
struct SampleColumns {
  TextColumn key, code, protocol, effort_unit, note;
  std::vector<VisitIndex> visit;
  std::vector<SiteIndex> site;  // of the visit
  std::vector<Date> date;       // of the visit
  std::vector<SampleKind> kind;
  std::vector<std::optional<double>> subsample_share;
  std::vector<std::optional<double>> effort;  // in effort_unit
  std::vector<std::optional<double>> mesh_um;
  std::vector<std::size_t> record_begin;  // size() + 1 entries; records of sample i are [i] up to [i + 1]
  std::size_t size() const { return site.size(); }
};

// Ordered by sample, then as entered.
struct RecordColumns {
  TextColumn key, verbatim_name, verbatim_quantity, class_code, class_scheme, qualifier, note;
  std::vector<SampleIndex> sample;
  std::vector<TaxonIndex> taxon;
  std::vector<NameMatch> match;
  std::vector<QuantityKind> quantity;
  std::vector<std::int64_t> count_min;  // 1 for presence, 0 for absence
  std::vector<std::int64_t> count_max;  // kOpen where a class has no upper limit, and for presence
  std::vector<LifeStage> stage;
  std::vector<double> certainty;  // 1 where the surveyor gave none
  std::vector<bool> certainty_given;
  static constexpr std::int64_t kOpen = INT64_MAX;
  std::size_t size() const { return taxon.size(); }
};

struct MeasurementColumns {
  TextColumn key, quantity, unit, verbatim_value, note;
  std::vector<VisitIndex> visit;
  std::vector<SampleIndex> sample;  // may be none()
  std::vector<std::optional<double>> value;
  std::vector<bool> below_detection;
  std::size_t size() const { return visit.size(); }
};

struct Snapshot {
  SurveyInfo survey;
  TaxonColumns taxa;
  std::vector<Water> waters;
  SiteColumns sites;
  VisitColumns visits;
  SampleColumns samples;
  RecordColumns records;
  MeasurementColumns measurements;
  std::vector<Outfall> outfalls;  // ordered by code
  std::vector<Reach> reaches;
  std::vector<Catchment> catchments;  // ordered by code
  std::vector<Photo> photos;          // these as entered
  std::vector<BaseLayer> layers;
  std::vector<Person> people;
  std::vector<SensitiveTaxon> sensitive_taxa;
  std::vector<Kit> kit;  // ordered by code
  std::vector<KitUse> kit_uses;
  std::vector<Cleaning> cleanings;
  std::vector<Holding> holdings;
  std::vector<WaterRisk> risks;
  std::vector<Ground> grounds;

  std::optional<SiteIndex> find_site(std::string_view code_or_key) const;
  std::optional<SampleIndex> find_sample(std::string_view code_or_key) const;
  // The samples of one site, oldest first, as a half-open index range.
  std::pair<SampleIndex, SampleIndex> samples_of(SiteIndex site) const;
  // First and last visit with a sample; nothing for a survey without samples.
  std::optional<std::pair<Date, Date>> date_span() const;
  // The middle of all places in the survey; nothing when there are none.
  std::optional<LonLat> centre() const;
};

}  // namespace brookmark::core
