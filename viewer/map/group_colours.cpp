#include "viewer/map/group_colours.hpp"

#include <cstdint>
#include <iterator>

namespace brookmark::viewer {
namespace {

struct Known {
  std::string_view group;
  Colour colour;
};
// Hue and lightness both differ, for eyes that see few hues.
constexpr Known kKnown[] = {
    {"Ephemeroptera", {13, 92, 99}},    {"Plecoptera", {96, 178, 120}},
    {"Trichoptera", {214, 160, 56}},    {"Diptera", {122, 78, 138}},
    {"Coleoptera", {58, 58, 72}},       {"Odonata", {82, 170, 214}},
    {"Hemiptera", {160, 196, 72}},      {"Megaloptera", {128, 84, 48}},
    {"Amphipoda", {220, 122, 92}},      {"Isopoda", {150, 52, 60}},
    {"Decapoda", {236, 184, 176}},      {"Littorinimorpha", {46, 84, 160}},
    {"Sphaeriida", {176, 164, 216}},    {"Basommatophora", {112, 124, 196}},
    {"Hygrophila", {112, 124, 196}},    {"Tubificida", {196, 92, 156}},
    {"Haplotaxida", {232, 150, 200}},   {"Arhynchobdellida", {96, 40, 84}},
    {"Rhynchobdellida", {72, 112, 56}}, {"Tricladida", {188, 176, 128}},
    {"Oligochaeta", {196, 92, 156}},    {"other", {150, 150, 150}},
};
constexpr Colour kRest[] = {{40, 132, 92},   {240, 200, 96}, {92, 60, 36},    {132, 206, 206},
                            {204, 72, 40},   {72, 48, 120},  {188, 128, 72},  {24, 60, 84},
                            {224, 208, 160}, {100, 150, 40}, {148, 108, 180}, {88, 96, 104}};

}  // namespace

Colour group_colour(std::string_view group) {
  for (const Known& known : kKnown)
    if (known.group == group) return known.colour;
  std::uint64_t sum = 14695981039346656037U;  // FNV-1a
  for (const char c : group) sum = (sum ^ static_cast<unsigned char>(c)) * 1099511628211U;
  return kRest[sum % std::size(kRest)];
}

}  // namespace brookmark::viewer
