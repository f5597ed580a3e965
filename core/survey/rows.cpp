#include "core/survey/rows.hpp"

namespace brookmark::core {
namespace {

std::string text(const TextColumn& column, std::size_t row) {
  return std::string(column[row]);
}

}  // namespace

Taxon taxon_row(const Snapshot& snapshot, TaxonIndex taxon) {
  const TaxonColumns& t = snapshot.taxa;
  const std::size_t i = taxon.value();
  const TaxonIndex parent = t.parent[i];
  return {text(t.key, i), text(t.name, i), t.rank[i],
          parent.has_value() ? text(t.key, parent.value()) : std::string(), t.listed[i]};
}

Site site_row(const Snapshot& snapshot, SiteIndex site) {
  const SiteColumns& s = snapshot.sites;
  const std::size_t i = site.value();
  Site row;
  row.key = s.key[i];
  row.code = s.code[i];
  row.name = s.name[i];
  row.water = s.water[i];
  row.habitat = s.habitat[i];
  row.note = s.note[i];
  row.kind = s.kind[i];
  row.status = s.status[i];
  row.type = s.type[i];
  row.reference = s.reference[i];
  row.position = s.position[i];
  row.accuracy_m = s.accuracy_m[i];
  row.raw = s.raw[i];
  row.sharing = s.sharing[i];
  return row;
}

Visit visit_row(const Snapshot& snapshot, VisitIndex visit) {
  const VisitColumns& v = snapshot.visits;
  const std::size_t i = visit.value();
  return {text(v.key, i),
          text(snapshot.sites.key, v.site[i].value()),
          text(v.people, i),
          text(v.weather, i),
          text(v.conditions, i),
          text(v.note, i),
          v.start[i]};
}

Sample sample_row(const Snapshot& snapshot, SampleIndex sample) {
  const SampleColumns& s = snapshot.samples;
  const std::size_t i = sample.value();
  Sample row;
  row.key = s.key[i];
  row.code = s.code[i];
  row.visit_key = snapshot.visits.key[s.visit[i].value()];
  row.protocol = s.protocol[i];
  row.effort_unit = s.effort_unit[i];
  row.note = s.note[i];
  row.kind = s.kind[i];
  row.effort = s.effort[i];
  row.mesh_um = s.mesh_um[i];
  row.subsample_share = s.subsample_share[i];
  return row;
}

Record record_row(const Snapshot& snapshot, RecordIndex record) {
  const RecordColumns& r = snapshot.records;
  const std::size_t i = record.value();
  Record row;
  row.key = r.key[i];
  row.sample_key = snapshot.samples.key[r.sample[i].value()];
  row.verbatim_name = r.verbatim_name[i];
  row.verbatim_quantity = r.verbatim_quantity[i];
  row.taxon_key = snapshot.taxa.key[r.taxon[i].value()];
  row.match = r.match[i];
  row.quantity = r.quantity[i];
  if (row.quantity == QuantityKind::kCount || row.quantity == QuantityKind::kAbundanceClass) {
    row.count_min = r.count_min[i];
    if (r.count_max[i] != RecordColumns::kOpen) row.count_max = r.count_max[i];
  }
  row.class_scheme = r.class_scheme[i];
  row.class_code = r.class_code[i];
  row.stage = r.stage[i];
  row.qualifier = r.qualifier[i];
  if (r.certainty_given[i]) row.certainty = r.certainty[i];
  row.note = r.note[i];
  return row;
}

Measurement measurement_row(const Snapshot& snapshot, std::size_t measurement) {
  const MeasurementColumns& m = snapshot.measurements;
  const std::size_t i = measurement;
  Measurement row;
  row.key = m.key[i];
  row.visit_key = snapshot.visits.key[m.visit[i].value()];
  if (m.sample[i].has_value()) row.sample_key = snapshot.samples.key[m.sample[i].value()];
  row.quantity = m.quantity[i];
  row.unit = m.unit[i];
  row.verbatim_value = m.verbatim_value[i];
  row.note = m.note[i];
  row.value = m.value[i];
  row.below_detection = m.below_detection[i];
  return row;
}

}  // namespace brookmark::core
