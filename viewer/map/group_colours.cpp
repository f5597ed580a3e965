#include "viewer/map/group_colours.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <iterator>
#include <limits>
#include <numeric>

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

// Distance in red, green and blue from which two fields beside each other can be told apart (common practice, no source).
constexpr double kApart = 40;

const Known* known_group(std::string_view group) {
  const auto* const found = std::find_if(std::begin(kKnown), std::end(kKnown),
                                         [&](const Known& known) { return known.group == group; });
  return found == std::end(kKnown) ? nullptr : found;
}

std::size_t own_place(std::string_view group) {
  std::uint64_t sum = 14695981039346656037U;  // FNV-1a
  for (const char c : group) sum = (sum ^ static_cast<unsigned char>(c)) * 1099511628211U;
  return sum % std::size(kRest);
}

double nearest(Colour colour, const std::vector<Colour>& others) {
  double least = std::numeric_limits<double>::infinity();
  for (const Colour other : others)
    least = std::min(least, std::hypot(colour.r - other.r, colour.g - other.g, colour.b - other.b));
  return least;
}

}  // namespace

Colour group_colour(std::string_view group) {
  if (const Known* known = known_group(group)) return known->colour;
  return kRest[own_place(group)];
}

std::vector<Colour> stack_colours(std::span<const ChartStack> stacks) {
  std::vector<std::size_t> order(stacks.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    const bool known_a = known_group(stacks[a].name) != nullptr,
               known_b = known_group(stacks[b].name) != nullptr;
    return known_a != known_b ? known_a : stacks[a].name < stacks[b].name;
  });
  std::vector<Colour> colours(stacks.size()), taken;
  for (const std::size_t g : order) {
    Colour best = group_colour(stacks[g].name);
    double clear = nearest(best, taken);
    for (std::size_t step = 0; clear <= kApart && step < std::size(kRest); ++step) {
      const Colour next = kRest[(own_place(stacks[g].name) + step) % std::size(kRest)];
      if (const double distance = nearest(next, taken); distance > clear) best = next, clear = distance;
    }
    colours[g] = best;
    taken.push_back(best);
  }
  return colours;
}

}  // namespace brookmark::viewer
