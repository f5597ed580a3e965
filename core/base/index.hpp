// Why: a site number handed over where a sample number is wanted must not compile.
// Dense 0-based indices into a Snapshot's columns; `none()` marks an absent reference in a column.
#pragma once

#include <compare>
#include <cstddef>
#include <cstdint>
#include <limits>

namespace brookmark::core {

template <class Tag>
class Index {
 public:
  constexpr Index() = default;
  constexpr explicit Index(std::size_t value) : value_(static_cast<std::uint32_t>(value)) {}
  static constexpr Index none() { return Index{}; }

  constexpr std::size_t value() const { return value_; }
  constexpr bool has_value() const { return value_ != kNone; }
  constexpr auto operator<=>(const Index&) const = default;

 private:
  static constexpr std::uint32_t kNone = std::numeric_limits<std::uint32_t>::max();
  std::uint32_t value_ = kNone;
};

using TaxonIndex = Index<struct TaxonTag>;
using WaterIndex = Index<struct WaterTag>;
using SiteIndex = Index<struct SiteTag>;
using VisitIndex = Index<struct VisitTag>;
using SampleIndex = Index<struct SampleTag>;
using RecordIndex = Index<struct RecordTag>;
using ReachIndex = Index<struct ReachTag>;
using OutfallIndex = Index<struct OutfallTag>;
using CatchmentIndex = Index<struct CatchmentTag>;

}  // namespace brookmark::core
