// Why: an archive without a word on who, what, where and how cannot be cited or used.
#pragma once

#include <string>

#include "geodata/export_tables_internal.hpp"

namespace brookmark::geodata {

// eml.xml in the Ecological Metadata Language 2.1.1 (element names and order recalled: memory).
std::string eml_of(const ExportSource& source, const SurveyTableWords& words);

// Everybody who agreed to be named, once, as written, in the order of the alphabet.
std::vector<std::string> people_named(const core::Snapshot& snapshot);
// What was left out and moved, in sentences that give nothing away.
std::string what_is_held_back(const ExportSource& source);
// Around every place that may be told; nothing where there is none.
std::optional<core::BoundingBox> told_area(const ExportSource& source);

}  // namespace brookmark::geodata
