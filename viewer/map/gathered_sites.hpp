// Why: what the map shows of the sites at one nearness: those that stand alone, and signs for those that are gathered; kept
// for the nearnesses seen last, so that coming and going costs nothing.
// Where there are many, a new nearness is made on another thread, and the one next to it stays until then.
// Use: gathering.follow(model, view, em, chosen);  for (std::uint32_t i : gathering.singles()) ...
#pragma once

#include <array>
#include <future>
#include <map>
#include <optional>
#include <span>
#include <vector>

#include "viewer/map/clusters.hpp"
#include "viewer/map/marks.hpp"
#include "viewer/map/painter.hpp"
#include "viewer/state/model.hpp"

namespace brookmark::viewer {

// Sizes in font heights; taste, no source.
inline constexpr double kNear_ems =
    0.87;  // the smallest marks this near to one another hide one another's signs
inline constexpr double kGathered_ems = 2.3;  // what a sign gathers around it
inline constexpr double kSignRadius_ems = 1.15;
inline constexpr double kCovered_ems =
    2.15;  // what a sign and the mark on its rim would hide, from its middle
inline constexpr double kLeftFree_ems = 0.2;  // around the middle of a mark: for its sign

// What the sites of a sign say together.
struct ClusterLook {
  std::size_t count = 0;
  std::array<std::uint32_t, kMarkColourCount>
      share{};                  // sites of each colour of MarkColours; faded ones count as theirs
  std::uint8_t worst_rank = 0;  // 0: none has a class
};
ClusterLook cluster_look(std::span<const std::uint32_t> sites, std::span<const Mark> marks);
// Their sign, and the mark on its rim: hidden where none of them has a class.
ManySites many_sites(core::PlanePoint place, const ClusterLook& look);
Mark worst_mark(const ClusterLook& look);

class GatheredSites {
 public:
  // `chosen` stands alone wherever it is. Everything is gathered anew when the model was read anew or the font has
  // another size.
  void follow(const Model& model, const Viewport& view, double em, std::optional<std::size_t> chosen);
  const SiteClusters& clusters() const { return *now_; }
  std::uint64_t version() const { return version_; }  // another one for other clusters
  static constexpr std::size_t kManySites = 20'000;
  bool pending() const { return coming_.valid(); }  // follow() brings another picture soon
  void settle() const;                              // waits for it
  // What the sites of a sign say together; counted once for each `version` of the marks.
  const ClusterLook& look(std::uint32_t sign, std::span<const Mark> marks, std::uint64_t version) const;
  // In view, in rising order.
  std::span<const std::uint32_t> singles() const { return singles_; }
  std::span<const std::uint32_t> signs() const { return signs_; }  // of clusters()
  bool stands_alone(std::size_t site) const {
    return chosen_ == site || now_->cluster_of(site) == SiteClusters::kNone;
  }
  // The sign whose middle lies within its radius of a pixel.
  std::optional<std::uint32_t> sign_at(const Viewport& view, Pixel at) const;
  double sign_radius_px() const { return kSignRadius_ems * em_; }
  // The largest radius of marks, in font heights, with which none hides the sign of another at this nearness; `halo`: of
  // the radius, what is drawn around a mark.
  double widest_mark_ems(const Viewport& view, double halo) const;

 private:
  struct Made {
    SiteClusters clusters;
    std::uint64_t used = 0;
    std::vector<std::optional<ClusterLook>> looks;  // of marks of `looks_of`
    std::uint64_t looks_of = 0;
  };
  void forget_oldest();
  void make(int level, const Model& model, double em);
  std::future<SiteClusters> coming_;
  int coming_level_ = 0;
  mutable Made* made_now_ = nullptr;
  std::map<int, Made> made_;  // by quarter octaves of metres per pixel
  const SiteClusters* now_ = &none_;
  SiteClusters none_;
  std::vector<std::uint32_t> singles_, signs_;
  std::optional<std::size_t> chosen_;
  double em_ = 0;
  std::uint64_t revision_ = 0, clock_ = 0, version_ = 0;
};

}  // namespace brookmark::viewer
