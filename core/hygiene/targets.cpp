#include "core/hygiene/targets.hpp"

#include <map>

#include "core/base/csv.hpp"
#include "core/hygiene/reference_rows_internal.hpp"

namespace brookmark::core {

namespace {

constexpr const char* kTargetsFile = "hygiene/targets.csv";

std::vector<HygieneTarget> read_targets() {
  const Table table = read_csv(reference_file(kTargetsFile), kTargetsFile);
  std::vector<HygieneTarget> targets;
  for (const TableRow& row : table.rows) {
    const ReferenceRow cells{table, row};
    targets.push_back({cells.text("target"), cells.text("name"), cells.text("what"), cells.list("also"),
                       cells.text("routine") == "yes", cells.confirmed(), cells.text("note")});
  }
  return targets;
}

std::map<std::string, TargetIndex> names_of_targets() {
  std::map<std::string, TargetIndex> names;
  const auto targets = hygiene_targets();
  for (std::size_t i = 0; i < targets.size(); ++i) {
    names.emplace(fold_name(targets[i].id), TargetIndex(i));
    names.emplace(fold_name(targets[i].name), TargetIndex(i));
    for (const std::string& other : targets[i].also) names.emplace(fold_name(other), TargetIndex(i));
  }
  return names;
}

}  // namespace

std::span<const HygieneTarget> hygiene_targets() {
  static const std::vector<HygieneTarget> targets = read_targets();
  return targets;
}

std::optional<TargetIndex> find_target(std::string_view written) {
  static const std::map<std::string, TargetIndex> names = names_of_targets();
  const auto found = names.find(fold_name(written));
  if (found == names.end()) return std::nullopt;
  return found->second;
}

const HygieneTarget& target_at(TargetIndex target) {
  return hygiene_targets()[target.value()];
}

std::span<const TargetIndex> routine_targets() {
  static const std::vector<TargetIndex> routine = [] {
    std::vector<TargetIndex> found;
    for (std::size_t i = 0; i < hygiene_targets().size(); ++i)
      if (hygiene_targets()[i].routine) found.emplace_back(i);
    return found;
  }();
  return routine;
}

std::string target_names(std::span<const TargetIndex> targets) {
  std::string names;
  for (std::size_t i = 0; i < targets.size(); ++i) {
    if (i > 0) names += i + 1 == targets.size() ? " and " : ", ";
    names += target_at(targets[i]).name;
  }
  return names;
}

}  // namespace brookmark::core
