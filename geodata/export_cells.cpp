#include <cmath>

#include "core/base/error.hpp"
#include "core/reference/reference.hpp"
#include "geodata/export_tables_internal.hpp"

namespace brookmark::geodata {

MethodLabel method_label(const core::Method& method, const core::Metric& metric) {
  return {method.id, method.title, core::confirmed_name(method.confirmed), metric.id, metric.title};
}

Cell class_cell(const core::Metric& metric, int rank) { return text_cell(core::class_name(metric, rank)); }

Cell rank_cell(int rank) {
  if (rank <= 0) return {};
  return std::int64_t{rank};
}

Cell text_cell(std::string_view text) {
  if (text.empty()) return {};
  return std::string(text);
}

Cell number_cell(const std::optional<double>& value) {
  if (!value || !std::isfinite(*value)) return {};
  return *value;
}

const char* caution_text() {
  return "An invertebrate index is evidence about ecology. It does not say that water is safe to drink, to "
         "bathe in, or "
         "lawful, and it is not a regulator's classification: for those go to the competent authority or a "
         "licensed "
         "laboratory.";
}

std::string citation_text(const std::string& source_key) {
  try {
    return core::citation(source_key);
  } catch (const Error&) {
    return source_key;  // a surveyor's own method may cite what the program does not hold
  }
}

}  // namespace brookmark::geodata
