#include "viewer/report/map_figure.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/base/text.hpp"
#include "viewer/map/labels.hpp"
#include "viewer/panels/words.hpp"
#include "viewer/report/line_ground_internal.hpp"
#include "viewer/report/map_picture_internal.hpp"

namespace brookmark::viewer {

namespace {

constexpr double kLabel = 7.6, kSmall = 7;
constexpr Colour kWhite{255, 255, 255};

const Inks& ink() {
  return inks(Look::kDay);
}

std::string fall_tag(std::size_t number) {
  return "↓" + std::to_string(number);
}

class MapDrawer {
 public:
  MapDrawer(Canvas& canvas, const MapPicture& picture)
      : canvas_(canvas),
        p_(picture),
        colours_(mark_colours(picture.classes)),
        space_({2, 2, picture.width - 4, picture.height - 4}),
        lines_(picture.width, picture.height),
        radius_(picture.sites.size() <= 80    ? kMarkRadius
                : picture.sites.size() <= 300 ? 4.4
                                              : 2.6) {}

  void draw() {
    const PixelBox all{0, 0, p_.width, p_.height};
    canvas_.clipped(all, [&] {
      canvas_.box(all, kWhite);
      for (const auto& rings : p_.waters) canvas_.fill_rings(rings, ink().water);
      for (const PageLine& border : p_.borders)
        canvas_.line(border, {between(ink().catchment, kWhite, 0.35), 0.8});
      channels();
      scale_and_north();
      reserve();
      outfalls();
      sites();
      fall_tags();
      site_labels();
      names();
    });
    canvas_.frame({0.25, 0.25, p_.width - 0.5, p_.height - 0.5}, {ink().line, 0.5});
  }

 private:
  Colour class_colour(std::uint8_t rank) const {
    return rank == 0 ? ink().value_only
                     : colours_.fill[static_cast<std::size_t>(kColourFirstClass + rank - 1)];
  }

  void channels() {
    for (const MapPicture::Fall& fall : p_.falls) {
      canvas_.line(fall.line, {ink().drop, 7.4});
      canvas_.line(fall.line, {kWhite, 5.4});
    }
    for (const MapPicture::Stretch& s : p_.stretches) canvas_.line(s.line, {ink().unknown_reach, 1});
    for (const MapPicture::Stretch& s : p_.stretches)
      if (s.knowledge == core::ReachKnowledge::kInferred) {
        canvas_.line(s.line, {kWhite, 2.6});
        canvas_.line(s.line, {class_colour(s.rank), 2.6, {4, 2.4}});
      }
    for (const MapPicture::Stretch& s : p_.stretches)
      if (s.knowledge == core::ReachKnowledge::kMeasured) canvas_.line(s.line, {class_colour(s.rank), 3});
  }

  // Clear of lines where there is such a place.
  std::optional<Pixel> placed(Pixel anchor, double gap, double width, double height, LabelSides sides) {
    const auto clear = [&](const PixelBox& box) { return lines_.is_clear(box); };
    if (const auto at = space_.place(anchor, gap, width, height, sides, clear)) return at;
    return space_.place(anchor, gap, width, height, sides);
  }

  void reserve() {
    for (const MapPicture::Stretch& s : p_.stretches)
      lines_.add(s.line, s.knowledge == core::ReachKnowledge::kUnknown ? 1 : 3);
    for (const MapPicture::Fall& fall : p_.falls) lines_.add(fall.line, 7.4);
    space_.block({4, p_.height - 24, 110, 20});
    for (const MapPicture::Site& s : p_.sites) {
      space_.block({s.at.x - radius_, s.at.y - radius_, 2 * radius_, 2 * radius_});
      space_.add_mark(s.at, radius_);
    }
  }

  // Beside its place, with a line to it, so that it hides no site.
  void outfalls() {
    for (const MapPicture::Outfall& o : p_.outfalls) {
      const double sign = 9, width = sign + 3 + canvas_.width(o.label, Face::kRegular, kLabel);
      const auto place = [&](double wide) {
        return placed(o.at, radius_ + 5, wide, sign + 1, LabelSides::kAside);
      };
      auto at = place(width);
      const bool named = at.has_value();
      if (!at) at = place(sign);
      const Pixel corner = at.value_or(Pixel{o.at.x - sign / 2, o.at.y - sign / 2});
      const bool left = named && corner.x + width / 2 < o.at.x;  // the sign stands on the side of its place
      const Pixel middle{left ? corner.x + width - sign / 2 : corner.x + sign / 2, corner.y + (sign + 1) / 2};
      const std::array<Pixel, 2> lead{o.at, middle};
      canvas_.line(lead, {ink().outfall, 0.8});
      canvas_.disc(o.at, 1.4, ink().outfall);
      draw_mark(canvas_, middle, 3.9, o.mark, colours_);
      if (named)
        label(o.label, {left ? corner.x : corner.x + sign + 3, corner.y}, sign + 1, Face::kRegular,
              ink().outfall);
    }
  }

  void label(const std::string& words, Pixel corner, double height, Face face, Colour colour) {
    canvas_.haloed(words, {corner.x, corner.y + height / 2 + kLabel * 0.36}, face, kLabel, colour, kWhite);
  }

  void sites() {
    for (const MapPicture::Site& s : p_.sites)
      if (s.blur_radius > 0) canvas_.ring(s.at, s.blur_radius, {ink().unclassed, 0.9, {2, 2}});
    for (const MapPicture::Site& s : p_.sites) {
      if (s.chosen) {
        canvas_.disc(s.at, radius_ + 4, ink().text);
        canvas_.disc(s.at, radius_ + 2.6, kWhite);
      }
      draw_mark(canvas_, s.at, radius_, s.mark, colours_);
    }
  }

  void fall_tags() {
    for (const MapPicture::Fall& fall : p_.falls) {
      const std::string tag = fall_tag(fall.number);
      const double width = canvas_.width(tag, Face::kBold, kSmall) + 4, height = 10;
      const auto at = placed(fall.lower, radius_ + 2, width, height, LabelSides::kAround);
      if (!at) continue;
      canvas_.box({at->x, at->y, width, height}, ink().drop);
      canvas_.text(tag, {at->x + 2, at->y + height / 2 + kSmall * 0.36}, Face::kBold, kSmall, ink().on_drop);
    }
  }

  // The worst take their place first.
  void site_labels() {
    for (auto s = p_.sites.rbegin(); s != p_.sites.rend(); ++s) {
      const Face face = s->chosen ? Face::kBold : Face::kRegular;
      const double height = kLabel * 1.2;
      const auto at = placed(s->at, radius_ + (s->chosen ? 5 : 3.6), canvas_.width(s->label, face, kLabel),
                             height, LabelSides::kAround);
      if (at) label(s->label, *at, height, face, ink().text);
    }
  }

  void names() {
    for (const MapPicture::Name& name : p_.names) {
      const bool of_water = name.area.empty();
      const double width = canvas_.width(name.text, Face::kRegular, kSmall), height = kSmall * 1.2;
      const auto at =
          of_water
              ? placed(name.at, 5, width, height, LabelSides::kAside)
              : space_.place(name.at, 0, width, height, LabelSides::kCentred, [&](const PixelBox& box) {
                  return holds(name.area, {box.left, box.top}) && holds(name.area, {box.right(), box.top}) &&
                         holds(name.area, {box.left, box.bottom()}) &&
                         holds(name.area, {box.right(), box.bottom()});
                });
      if (at)
        canvas_.haloed(name.text, {at->x, at->y + height / 2 + kSmall * 0.36}, Face::kRegular, kSmall,
                       of_water ? ink().flow : ink().catchment_text, kWhite);
    }
  }
  // Even-odd over all rings.
  static bool holds(const std::vector<PageLine>& rings, Pixel p) {
    bool inside = false;
    for (const PageLine& ring : rings)
      for (std::size_t i = 0; i < ring.size(); ++i) {
        const Pixel a = ring[i], b = ring[(i + 1) % ring.size()];
        if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x)
          inside = !inside;
      }
    return inside;
  }

  void scale_and_north() {
    const double most = 80 * p_.metres_per_point, power = std::pow(10, std::floor(std::log10(most)));
    double length = power;
    for (const double factor : {2.0, 5.0})
      if (factor * power <= most) length = factor * power;
    const double width = length / p_.metres_per_point, y = p_.height - 8;
    canvas_.box({4, p_.height - 24, width + 32, 20}, kWhite);
    const std::array<Pixel, 4> bar{{{26, y - 4}, {26, y}, {26 + width, y}, {26 + width, y - 4}}};
    canvas_.line(bar, {ink().text, 1.2});
    canvas_.text(
        length >= 1000 ? core::format_number(length / 1000) + " km" : core::format_number(length) + " m",
        {30, y - 3.5}, Face::kRegular, kSmall, ink().text);
    const std::array<Pixel, 3> arrow{{{13, y - 13}, {16.5, y}, {13, y - 3}}},
        half{{{13, y - 13}, {9.5, y}, {13, y - 3}}};
    canvas_.fill(arrow, ink().text);
    canvas_.line(half, {ink().text, 0.8}, true);
    canvas_.text("N", {18, y - 8}, Face::kBold, 6, ink().text);
  }

  Canvas& canvas_;
  const MapPicture& p_;
  MarkColours colours_;
  LabelSpace space_;
  LineGround lines_;
  double radius_;
};

std::string alt_of(const MapPicture& p, const MapWish& wish) {
  const core::Snapshot& s = wish.handed.shared.snapshot();
  std::string words = "Map with " + count_of(p.sites.size(), "site", "sites") + ", " +
                      count_of(p.outfalls.size(), "outfall", "outfalls") +
                      (p.classes > 0 ? " and the watercourses, each site with the rank of its class."
                                     : " and the watercourses, each site with its value.");
  for (std::size_t i = 0; i < wish.falls.size(); ++i)
    words += (i == 0 ? " Brought out: " : "; ") +
             drop_in_words(s, wish.falls[i], wish.handed.assessment.metric_info());
  if (!wish.falls.empty()) words += ".";
  return words + " The tables list every site.";
}

}  // namespace

void draw_map(Canvas& canvas, const MapPicture& picture) {
  MapDrawer(canvas, picture).draw();
}

MapFigure map_figure(const MapWish& wish) {
  const auto picture = make_map_picture(wish);
  if (!picture) return {};
  MapFigure map{false, {}, map_key(*picture, wish)};
  map.figure = {"", alt_of(*picture, wish), "", picture->width, picture->height, {}};
  map.figure.draw = [picture](Canvas& canvas) { draw_map(canvas, *picture); };
  return map;
}

}  // namespace brookmark::viewer
