#include <cmath>

#include "geodata/export_tables_internal.hpp"

namespace brookmark::geodata {

MethodLabel method_label(const core::Method& method, const core::Metric& metric) {
  return {method.id, method.title, core::confirmed_name(method.confirmed), metric.id, metric.title};
}

Cell class_cell(const core::Metric& metric, int rank) {
  return text_cell(core::class_name(metric, rank));
}

Cell rank_cell(int rank) {
  if (rank <= 0) return {};
  return std::int64_t{rank};
}

Cell text_cell(std::string_view text) {
  if (text.empty()) return {};
  return std::string(text);
}

Cell date_cell(const std::optional<core::Date>& date) {
  if (!date) return {};
  return *date;
}

Cell number_cell(const std::optional<double>& value) {
  if (!value || !std::isfinite(*value)) return {};
  return *value;
}

}  // namespace brookmark::geodata
