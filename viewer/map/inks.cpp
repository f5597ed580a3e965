#include "viewer/map/inks.hpp"

namespace brookmark::viewer {
namespace {

constexpr Inks kDayInks{
    .panel = {252, 252, 249},
    .raised = {255, 255, 255},
    .text = {24, 34, 40},
    .muted = {82, 93, 99},
    .accent = {13, 92, 99},
    .on_accent = {255, 255, 255},
    .line = {206, 210, 204},
    .edge = {122, 134, 130},
    .field = {235, 238, 233},
    .field_hover = {221, 229, 224},
    .field_active = {203, 219, 214},
    .bar = {28, 58, 64},
    .bar_text = {246, 248, 245},
    .bar_muted = {178, 197, 198},
    .bar_field = {46, 80, 87},
    .badge = {255, 226, 150},
    .badge_text = {92, 58, 0},
    .note = {255, 245, 214},
    .alarm = {252, 224, 219},
    .caution = {238, 232, 214},
    .dim = {20, 30, 32, 120},
    .paper = {242, 243, 238},
    .halo = {255, 255, 255},
    .mark_ground = {255, 255, 255},
    .channel = {76, 120, 156},
    .flow = {40, 78, 112},
    .unknown_reach = {128, 136, 139},
    .water = {186, 212, 228},
    .catchment = {118, 106, 84},
    .catchment_text = {84, 72, 50},
    .drop = {30, 24, 34},
    .on_drop = {255, 255, 255},
    .unclassed = {96, 104, 109},
    .value_only = {54, 84, 92},
    .outfall = {66, 40, 62},
    .query = {176, 18, 120},
    .on_query = {255, 255, 255},
    .fill_strength = 68,
};

constexpr Inks kDarkInks{
    .panel = {31, 38, 41},
    .raised = {42, 50, 54},
    .text = {228, 233, 231},
    .muted = {166, 177, 178},
    .accent = {112, 204, 197},
    .on_accent = {8, 28, 30},
    .line = {62, 72, 76},
    .edge = {118, 130, 133},
    .field = {46, 55, 59},
    .field_hover = {56, 67, 71},
    .field_active = {62, 75, 79},
    .bar = {16, 22, 24},
    .bar_text = {228, 233, 231},
    .bar_muted = {150, 163, 165},
    .bar_field = {38, 48, 52},
    .badge = {88, 66, 18},
    .badge_text = {255, 229, 160},
    .note = {64, 56, 26},
    .alarm = {84, 40, 36},
    .caution = {46, 42, 30},
    .dim = {4, 8, 9, 160},
    .paper = {24, 29, 32},
    .halo = {18, 22, 25},
    .mark_ground = {222, 228, 228},
    .channel = {98, 152, 194},
    .flow = {150, 196, 230},
    .unknown_reach = {120, 128, 131},
    .water = {42, 74, 96},
    .catchment = {156, 145, 120},
    .catchment_text = {206, 194, 166},
    .drop = {240, 236, 241},
    .on_drop = {26, 22, 30},
    .unclassed = {84, 92, 97},
    .value_only = {54, 84, 92},
    .outfall = {212, 176, 206},
    .query = {255, 122, 206},
    .on_query = {34, 6, 24},
    .fill_strength = 54,
};

constexpr Inks kSunlightInks{
    .panel = {255, 255, 255},
    .raised = {255, 255, 255},
    .text = {0, 0, 0},
    .muted = {44, 48, 50},
    .accent = {0, 58, 68},
    .on_accent = {255, 255, 255},
    .line = {118, 122, 122},
    .edge = {60, 64, 66},
    .field = {234, 236, 234},
    .field_hover = {216, 222, 219},
    .field_active = {196, 208, 204},
    .bar = {0, 0, 0},
    .bar_text = {255, 255, 255},
    .bar_muted = {214, 220, 220},
    .bar_field = {52, 56, 58},
    .badge = {255, 216, 70},
    .badge_text = {0, 0, 0},
    .note = {255, 238, 160},
    .alarm = {255, 208, 200},
    .caution = {255, 238, 160},
    .dim = {0, 0, 0, 150},
    .paper = {255, 255, 255},
    .halo = {255, 255, 255},
    .mark_ground = {255, 255, 255},
    .channel = {0, 74, 148},
    .flow = {0, 44, 104},
    .unknown_reach = {98, 102, 104},
    .water = {150, 196, 232},
    .catchment = {84, 66, 30},
    .catchment_text = {64, 48, 16},
    .drop = {0, 0, 0},
    .on_drop = {255, 255, 255},
    .unclassed = {48, 52, 54},
    .value_only = {0, 60, 72},
    .outfall = {72, 0, 70},
    .query = {160, 0, 104},
    .on_query = {255, 255, 255},
    .fill_strength = 64,
};

constexpr const char* kNames[kLookCount] = {"day", "dark", "sunlight"};

}  // namespace

const Inks& inks(Look look) {
  switch (look) {
    case Look::kDark:
      return kDarkInks;
    case Look::kSunlight:
      return kSunlightInks;
    case Look::kDay:
      break;
  }
  return kDayInks;
}

const char* look_name(Look look) {
  return kNames[static_cast<std::size_t>(look)];
}

bool read_look(std::string_view word, Look& look) {
  for (std::size_t i = 0; i < kLookCount; ++i)
    if (word == kNames[i]) {
      look = static_cast<Look>(i);
      return true;
    }
  return false;
}

}  // namespace brookmark::viewer
