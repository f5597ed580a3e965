// Why: a change to the map being made, before it is stored: which tool is in hand, what was placed, what is typed
// beside it. Nothing of it is in the file until it is stored.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/survey/types.hpp"

namespace brookmark::viewer {

enum class EditTool : std::uint8_t { kNone, kAddSite, kMoveSite, kAddOutfall, kDrawReach, kFixReach };

struct EditVertex {
  core::LonLat at;
  std::string joined;   // to what it was put, where it was put onto a reach; else empty
  double joined_m = 0;  // how far the finger was from there
};

struct MapEdit {
  EditTool tool = EditTool::kNone;
  std::vector<EditVertex> points;    // one of a site or an outfall; of a reach in the direction of flow
  std::string key;                   // of the site or reach that is changed
  std::optional<core::LonLat> from;  // where the site stands now
  std::string code, name;
  core::WaterKind water_kind = core::WaterKind::kUnknown;
  core::OutfallKind outfall_kind = core::OutfallKind::kUnknown;
  bool two_way = false;
  std::optional<std::size_t> grabbed;  // the vertex under the finger
  std::optional<std::size_t> chosen;   // the vertex tapped last
  std::string trouble;
  double metres_per_pixel = 0;                       // of the map when the newest point was placed
  std::vector<std::vector<EditVertex>> before = {};  // the points before each step, for stepping back
};

}  // namespace brookmark::viewer
