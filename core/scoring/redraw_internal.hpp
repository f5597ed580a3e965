// Why: a sample as it might have been goes through the same scorer as the sample itself: this turns its records into
// sightings once for each draw. What each part of a draw assumes is told in CONFIDENCE.md.
// Use: SampleRedraw again(snapshot, compiled, sample);  again.draw(random);  scorer.read(sample, again.drawn());
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/base/repeated_multinomial.hpp"
#include "core/scoring/score_internal.hpp"

namespace brookmark::core {

// A number within the limits of an abundance class, low >= 1, evenly on a logarithmic scale. An open class goes up to
// ten times its lower limit less one, as the next decade would. Common practice, no source.
std::int64_t draw_in_class(Random& random, std::int64_t low, std::int64_t high);

class SampleRedraw {
 public:
  SampleRedraw(const Snapshot& snapshot, const CompiledMethod& compiled, std::size_t sample);

  // What there is to draw.
  std::int64_t individuals() const { return again_.individuals(); }  // counted animals
  bool has_counts() const { return individuals() > 0; }
  bool has_classes() const { return has_classes_; }
  bool has_doubtful_names() const { return has_doubts_; }
  bool has_presence() const { return has_presence_; }
  // A record without a number that a line of the method's table takes.
  bool has_scoring_presence() const { return has_scoring_presence_; }
  // Records with a doubt in words ("cf.", "?") and no certainty below 1 that would change something for the method as
  // their parents: taken as sure, since nobody said how likely.
  std::uint32_t names_in_doubt() const { return names_in_doubt_; }

  // Draws names, numbers of classes and individuals, in this order.
  void draw(Random& random);
  // The last draw as sightings; before the first one, the sample as it is.
  std::span<const Sighting> drawn();

 private:
  struct Part {
    Sighting sighting;
    std::uint32_t parent = 0;  // where a doubtful name falls back to
    double certainty = 1;      // below 1: doubtful, and not alike with its parent
    bool as_named = true;      // in the last draw
    bool is_class = false;
    std::uint32_t counted = kNotCounted;  // place in counts_
    std::int64_t low = 0, high = 0;       // of a class
  };
  static constexpr std::uint32_t kNotCounted = UINT32_MAX;

  std::vector<Part> parts_;  // in an order that does not depend on that of the records
  std::vector<std::int64_t> counts_, drawn_counts_;
  RepeatedMultinomial again_;
  std::vector<Sighting> sightings_;  // the fixed ones, then the parts'
  std::size_t fixed_ = 0;
  std::uint32_t names_in_doubt_ = 0;
  bool has_classes_ = false, has_doubts_ = false, has_presence_ = false, has_scoring_presence_ = false;
};

}  // namespace brookmark::core
