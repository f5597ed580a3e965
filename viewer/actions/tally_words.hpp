// Why: a name on the tally is read as a taxon, and whether that can count by the method chosen is told while the animal is
// still in the tray, not weeks later.
// Use: text(read_as(lineage, record.verbatim_name, model.methods()[0]))  ->  "= Malacostraca (class): will not score"
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "core/scoring/method.hpp"
#include "core/survey/types.hpp"

namespace brookmark::viewer {

// Whether the method's table has a line for the taxon, which stands first, its parents behind it: the nearest member up the
// tree decides, as when a sample is scored. True for a method without such a table, which counts all taxa.
bool has_a_line(const core::Method& method, std::span<const core::Taxon> lineage);

// How a name was read, in few words: "= Chironomidae (family)", "class: will not score", "not in the checklist: will not
// score"; empty for a name as it is, no coarser than a family, that can count. `method` may be null: then nothing is said
// of scores.
std::string read_as(std::span<const core::Taxon> lineage, std::string_view verbatim,
                    const core::Method* method);

}  // namespace brookmark::viewer
