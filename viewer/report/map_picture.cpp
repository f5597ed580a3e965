#include "viewer/report/map_picture_internal.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "viewer/panels/words.hpp"

namespace brookmark::viewer {

namespace {

constexpr double kMargin = 16;        // points between the edge and what the map is made to hold
constexpr double kLeastSpan_m = 400;  // of ground that a map shows
constexpr double kFinest = 0.25;      // points nearer than this are one

struct Extent {
  double min_x = 0, min_y = 0, max_x = 0, max_y = 0;
  bool any = false;
  void take(core::PlanePoint p) {
    if (!std::isfinite(p.x) || !std::isfinite(p.y)) return;
    if (!any) min_x = max_x = p.x, min_y = max_y = p.y, any = true;
    min_x = std::min(min_x, p.x), max_x = std::max(max_x, p.x);
    min_y = std::min(min_y, p.y), max_y = std::max(max_y, p.y);
  }
};

class PictureMaker {
 public:
  PictureMaker(const MapWish& wish, core::LonLat centre)
      : wish_(wish), snapshot_(wish.handed.shared.snapshot()), frame_(centre) {}

  std::shared_ptr<const MapPicture> make() {
    const Extent extent = wanted();
    if (!extent.any) return nullptr;
    fit(extent);
    picture_.classes = wish_.handed.assessment.metric_info().bands.size();
    take_areas();
    take_channels();
    take_outfalls();
    take_sites();
    take_names();
    return std::make_shared<const MapPicture>(std::move(picture_));
  }

 private:
  core::LonLat place_of(std::size_t site) const { return wish_.handed.shared.places()[site].position; }

  // Around a site: as far as its fifth neighbour, within reason.
  Extent around(core::SiteIndex site) const {
    Extent extent;
    const core::LonLat here = place_of(site.value());
    if (!core::is_placed(here)) return extent;
    const core::PlanePoint middle = frame_.to_plane(here);
    std::vector<double> distances;
    for (std::size_t i = 0; i < snapshot_.sites.size(); ++i) {
      if (i == site.value() || !core::is_placed(place_of(i))) continue;
      const core::PlanePoint p = frame_.to_plane(place_of(i));
      distances.push_back(std::hypot(p.x - middle.x, p.y - middle.y));
    }
    std::sort(distances.begin(), distances.end());
    const double far = distances.empty() ? 1000 : distances[std::min<std::size_t>(4, distances.size() - 1)];
    const double half = std::clamp(far * 1.1, 300.0, 5000.0);
    extent.take({middle.x - half, middle.y - half});
    extent.take({middle.x + half, middle.y + half});
    return extent;
  }

  void take_shape(Extent& extent, const core::MultiPolygon& shape) const {
    for (const core::Polygon& polygon : shape)
      if (!polygon.rings.empty())
        for (const core::LonLat p : polygon.rings.front()) extent.take(frame_.to_plane(p));
  }

  Extent wanted() const {
    if (wish_.site) return around(*wish_.site);
    Extent extent;
    if (wish_.catchment) {
      take_shape(extent, snapshot_.catchments[wish_.catchment->value()].shape);
      if (extent.any) return extent;
    }
    for (std::size_t i = 0; i < snapshot_.sites.size(); ++i)
      if (core::is_placed(place_of(i))) extent.take(frame_.to_plane(place_of(i)));
    for (const core::Catchment& c : snapshot_.catchments) take_shape(extent, c.shape);
    for (const core::Reach& reach : snapshot_.reaches)
      for (const core::LonLat p : reach.line) extent.take(frame_.to_plane(p));
    for (const core::Outfall& o : snapshot_.outfalls)
      if (core::is_placed(o.position)) extent.take(frame_.to_plane(o.position));
    return extent;
  }

  void fit(Extent e) {
    const double grow_x = std::max(0.0, kLeastSpan_m - (e.max_x - e.min_x)) / 2,
                 grow_y = std::max(0.0, kLeastSpan_m - (e.max_y - e.min_y)) / 2;
    e.min_x -= grow_x, e.max_x += grow_x, e.min_y -= grow_y, e.max_y += grow_y;
    const double room_x = wish_.width - 2 * kMargin, room_y = wish_.most_height - 2 * kMargin;
    picture_.width = wish_.width;
    picture_.metres_per_point = std::max((e.max_x - e.min_x) / room_x, (e.max_y - e.min_y) / room_y);
    picture_.height = std::clamp((e.max_y - e.min_y) / picture_.metres_per_point + 2 * kMargin,
                                 std::min(170.0, wish_.most_height), wish_.most_height);
    centre_ = {(e.min_x + e.max_x) / 2, (e.min_y + e.max_y) / 2};
  }

  Pixel to_page(core::LonLat place) const {
    const core::PlanePoint p = frame_.to_plane(place);
    return {picture_.width / 2 + (p.x - centre_.x) / picture_.metres_per_point,
            picture_.height / 2 - (p.y - centre_.y) / picture_.metres_per_point};
  }
  bool on_page(Pixel p, double margin = 0) const {
    return p.x >= -margin && p.y >= -margin && p.x <= picture_.width + margin &&
           p.y <= picture_.height + margin;
  }
  // Empty where nothing of it comes near the page.
  PageLine to_page(const core::Line& line) const {
    PageLine points;
    Extent extent;
    for (std::size_t i = 0; i < line.size(); ++i) {
      const Pixel p = to_page(line[i]);
      extent.take({p.x, p.y});
      const bool last = i + 1 == line.size();
      if (!points.empty() && !last && std::hypot(p.x - points.back().x, p.y - points.back().y) < kFinest)
        continue;
      points.push_back(p);
    }
    const bool near = extent.any && extent.max_x > -5 && extent.max_y > -5 &&
                      extent.min_x < picture_.width + 5 && extent.min_y < picture_.height + 5;
    return near ? points : PageLine{};
  }

  void take_areas() {
    for (const core::Water& water : snapshot_.waters)
      for (const core::Polygon& polygon : water.shape) {
        std::vector<PageLine> rings;
        for (const core::Line& ring : polygon.rings) rings.push_back(to_page(ring));
        if (!rings.empty() && !rings.front().empty()) picture_.waters.push_back(std::move(rings));
      }
    for (const core::Catchment& catchment : snapshot_.catchments)
      for (const core::Polygon& polygon : catchment.shape)
        for (const core::Line& ring : polygon.rings)
          if (PageLine line = to_page(ring); line.size() > 1) picture_.borders.push_back(std::move(line));
  }

  void take_channels() {
    for (const core::ReachPiece& piece : wish_.reaches.pieces) {
      core::Line line;
      core::append_part(wish_.handed.channels, piece.part, line);
      if (PageLine on = to_page(line); on.size() > 1)
        picture_.stretches.push_back({std::move(on), piece.knowledge, piece.class_rank});
    }
    for (std::size_t i = 0; i < wish_.falls.size(); ++i) {
      const core::Drop& fall = wish_.falls[i];
      if (PageLine on = to_page(fall.stretch.line); on.size() > 1)
        picture_.falls.push_back({std::move(on), to_page(place_of(fall.down.value())), i + 1});
    }
  }

  void take_outfalls() {
    const std::vector<Mark> marks = outfall_marks(snapshot_, Query{}, wish_.handed.assessment.until());
    for (std::size_t i = 0; i < snapshot_.outfalls.size(); ++i) {
      const core::Outfall& outfall = snapshot_.outfalls[i];
      if (!core::is_placed(outfall.position) || !on_page(to_page(outfall.position))) continue;
      picture_.outfalls.push_back({to_page(outfall.position), marks[i], outfall.code});
    }
  }

  void take_sites() {
    const core::Assessment& known = wish_.handed.assessment;
    const std::vector<Mark> marks = site_marks(known, snapshot_, known.until());
    for (std::size_t i = 0; i < snapshot_.sites.size(); ++i) {
      const core::SharedPlace& place = wish_.handed.shared.places()[i];
      if (!core::is_placed(place.position)) continue;
      MapPicture::Site site{to_page(place.position), marks[i], std::string(snapshot_.sites.code[i]), 0,
                            wish_.site == core::SiteIndex(i)};
      if (!on_page(site.at)) continue;
      if (place.blurred) site.blur_radius = place.uncertainty_m.value_or(0) / picture_.metres_per_point;
      picture_.sites.push_back(std::move(site));
    }
    // The worst on top, and what was asked for above all.
    const auto weight = [](const MapPicture::Site& s) {
      return s.chosen ? 1000 : is_ring(s.mark.shape) ? -1 : static_cast<int>(s.mark.colour % kFaded);
    };
    std::stable_sort(picture_.sites.begin(), picture_.sites.end(),
                     [&](const auto& a, const auto& b) { return weight(a) < weight(b); });
  }

  // A watercourse is named once, on its longest line; a catchment in its middle.
  void take_names() {
    struct Longest {
      double length = 0;
      Pixel middle;
    };
    std::map<std::string, Longest> courses;
    for (const core::Reach& reach : snapshot_.reaches) {
      const PageLine line = to_page(reach.line);
      if (reach.name.empty() || line.size() < 2) continue;
      double length = 0;
      for (std::size_t i = 1; i < line.size(); ++i)
        length += std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y);
      Longest& found = courses[reach.name];
      if (length > found.length) found = {length, line[line.size() / 2]};
    }
    for (const auto& [name, found] : courses)
      if (found.length > 30 && on_page(found.middle, -10)) picture_.names.push_back({found.middle, name, {}});
    for (std::size_t c = 0; c < snapshot_.catchments.size(); ++c) {
      const core::Catchment& catchment = snapshot_.catchments[c];
      // The outermost ones are the map itself.
      const bool holds_others =
          std::any_of(wish_.handed.nesting.parent.begin(), wish_.handed.nesting.parent.end(),
                      [&](core::CatchmentIndex parent) { return parent == core::CatchmentIndex(c); });
      const auto inside = core::inner_point(catchment.shape);
      if (holds_others || !inside || !on_page(to_page(*inside), -10)) continue;
      MapPicture::Name name{to_page(*inside), catchment.name.empty() ? catchment.code : catchment.name, {}};
      // Named after its water, which stands on the map already.
      if (const auto found = courses.find(name.text);
          found != courses.end() && on_page(found->second.middle, -10))
        if (found->second.length > 30) continue;
      for (const core::Polygon& polygon : catchment.shape)
        for (const core::Line& ring : polygon.rings) name.area.push_back(to_page(ring));
      picture_.names.push_back(std::move(name));
    }
  }

  const MapWish& wish_;
  const core::Snapshot& snapshot_;
  core::LocalFrame frame_;
  core::PlanePoint centre_;
  MapPicture picture_;
};

}  // namespace

std::shared_ptr<const MapPicture> make_map_picture(const MapWish& wish) {
  const core::Snapshot& snapshot = wish.handed.shared.snapshot();
  std::optional<core::LonLat> centre = snapshot.centre();
  for (const core::SharedPlace& place : wish.handed.shared.places())
    if (!centre && core::is_placed(place.position)) centre = place.position;
  if (!centre) return nullptr;
  return PictureMaker(wish, *centre).make();
}

}  // namespace brookmark::viewer
