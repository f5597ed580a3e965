// Why: a class has one colour wherever it is shown: on the map, in a partner's GIS, in a report. Colour never stands alone:
// the rank or the name of the class stands beside it.
// Use: const auto colours = colours_of_classes(metric.bands.size());  colours[rank - 1]
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace brookmark::core {

struct ClassColour {
  std::uint8_t r = 0, g = 0, b = 0;
  bool operator==(const ClassColour&) const = default;
};

enum class ClassColours : std::uint8_t {
  kDirective,  // five classes in the five colours of the water directive, other numbers ordered
  kOrdered,    // every number of classes ordered by lightness
};

// One colour a class, best first: blue is the good side and red the bad one for every method.
// The directive's five: blue, green, yellow, orange, red, as Directive 2000/60/EC Annex V 1.4.2 presents
// ecological status (colour words recalled, not read; the shades are ours).
// Ordered: from pale blue over ochre to dark red in equal steps of lightness (CIE 1976 L*), so that the order
// can be seen with every kind of colour blindness, in grey print and in glare. The shades are ours.
std::vector<ClassColour> colours_of_classes(std::size_t classes,
                                            ClassColours choice = ClassColours::kDirective);

}  // namespace brookmark::core
