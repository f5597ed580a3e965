#include "demo_area/landscape.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <span>
#include <stdexcept>
#include <utility>

#include "core/base/csv.hpp"
#include "core/base/text.hpp"
#include "demo_area/places.hpp"

namespace brookmark::demo {
namespace {

using core::Line;
using core::PlanePoint;

constexpr core::LonLat kMiddle{-30, 45};   // open ocean, some 600 km from the nearest island
constexpr std::size_t kStepsPerBend = 10;  // vertices from one bend to the next: one about every 45 m

// Where a tributary ends: at a bend of another course (7.5 lies halfway from bend 7 to bend 8), short of it
// by `gap_m` as hand-drawn lines often are.
struct End {
  std::string_view into;
  double bend = 0;
  double gap_m = 0;
};

struct Sketch {
  std::string_view name;
  std::vector<PlanePoint> bends;  // metres, downstream; the curve goes through each
  std::vector<std::size_t> cuts;  // bends at which a new reach begins
  std::optional<End> end;
};

// A course stands after the one it flows into.
const std::vector<Sketch>& sketches() {
  static const std::vector<Sketch> all{
      {kStem,
       {{-300, 4600}, {-120, 4150}, {-260, 3700}, {-60, 3250},   {120, 2800}, {20, 2350},   {-140, 1900},
        {-40, 1450},  {160, 1000},  {240, 550},   {90, 120},     {-90, -310}, {-30, -770},  {170, -1200},
        {260, -1660}, {130, -2110}, {-60, -2540}, {-150, -3000}, {10, -3450}, {180, -3900}, {120, -4400}},
       {3, 7, 10, 14, 18, 19},
       std::nullopt},
      {"Quarrendel Brook, west arm",
       {{10, -3450}, {-10, -3570}, {30, -3740}, {180, -3900}},
       {},
       std::nullopt},
      {kEllow, {{1900, 4500}, {1450, 4150}, {1000, 3950}, {600, 3650}, {250, 3450}}, {}, End{kStem, 3, 2.0}},
      {kTarrow,
       {{-2600, 2900}, {-2250, 2650}, {-1900, 2450}, {-1500, 2200}, {-1000, 1850}, {-500, 1600}},
       {3},
       End{kStem, 7, 1.5}},
      {kPellow,
       {{2100, 1500}, {1750, 1050}, {1500, 500}, {1150, 100}, {850, -350}, {450, -750}},
       {},
       End{kStem, 12.45, 0}},
      {kOrwick,
       {{-2050, -1900}, {-1600, -1750}, {-1150, -1900}, {-700, -1850}, {-300, -2050}},
       {},
       End{kStem, 15, 3.0}},
      {kMossop, {{-1500, -2700}, {-1350, -2350}}, {}, End{kOrwick, 2.45, 2.0}},
      {kSennet, {{1700, -2500}, {1300, -2750}, {900, -2700}, {450, -2950}}, {}, End{kStem, 17, 1.0}},
  };
  return all;
}

// Borders between catchments, each drawn once, so that neighbours share them vertex for vertex.
struct Border {
  std::string_view name;
  std::vector<PlanePoint> points;
};

constexpr PlanePoint kTop{250, 5050}, kEast{2100, 2700}, kSouthEast{1900, -1100}, kOutlet{120, -4430},
    kSouthWest{-1700, -800}, kWest{-1600, 500}, kNorthWest{-2000, 3500}, kEllowEnd{-20, 3276},
    kTarrowEnd{-40, 1440}, kPellowEnd{75, -958}, kMiddleEast{700, 1600}, kMiddleSouthEast{700, -1200},
    kMiddleEnd{260, -1665}, kWorksNorth{-1300, 2750}, kWorksSouth{-1200, 1100};

const std::vector<Border>& borders() {
  static const std::vector<Border> all{
      // Around the whole, clockwise.
      {"ellow-rim", {kTop, {1100, 5150}, {2100, 4950}, {2600, 4300}, {2450, 3500}, kEast}},
      {"pellow-rim", {kEast, {2500, 2000}, {2750, 1100}, {2500, 200}, {2300, -500}, kSouthEast}},
      {"lower-east-rim", {kSouthEast, {2250, -1800}, {2100, -2800}, {1500, -3600}, {800, -4200}, kOutlet}},
      {"lower-west-rim",
       {kOutlet, {-500, -4250}, {-1300, -3900}, {-2100, -3300}, {-2500, -2400}, {-2300, -1500}, kSouthWest}},
      {"middle-rim", {kSouthWest, {-1900, -200}, kWest}},
      {"tarrow-south-rim", {kWest, kWorksSouth}},
      {"works-south-rim", {kWest, {-2300, 900}, {-2900, 1700}, {-3000, 2400}, {-2800, 3300}, kNorthWest}},
      {"upper-rim", {kNorthWest, {-1700, 4300}, {-1000, 4900}, kTop}},
      // Between sub-catchments.
      {"upper-ellow",
       {kTop, {300, 4500}, {250, 4000}, {150, 3600}, kEllowEnd, {500, 3050}, {1200, 2750}, kEast}},
      {"upper-pellow", {kEast, {1500, 2300}, {1000, 1900}, kMiddleEast}},
      {"upper-middle", {kMiddleEast, {300, 1500}, kTarrowEnd}},
      {"tarrow-upper-low", {kTarrowEnd, {-250, 1750}, {-800, 2200}, kWorksNorth}},
      {"tarrow-upper-high", {kWorksNorth, kNorthWest}},
      {"tarrow-middle", {kTarrowEnd, {-300, 1350}, {-900, 1300}, kWorksSouth}},
      {"middle-pellow",
       {kMiddleEast,
        {650, 1000},
        {600, 400},
        {450, -200},
        {350, -700},
        kPellowEnd,
        {500, -1150},
        kMiddleSouthEast}},
      {"pellow-lower", {kMiddleSouthEast, {1300, -1250}, kSouthEast}},
      {"middle-lower", {kMiddleSouthEast, {450, -1500}, kMiddleEnd, {0, -1500}, {-700, -1200}, kSouthWest}},
      // Inside Tarrow, just above the works' outfall.
      {"works", {kWorksNorth, {-1530, 2230}, {-1400, 1600}, kWorksSouth}},
  };
  return all;
}

struct Basin {
  std::string_view code, name;
  std::vector<std::string_view> ring;  // borders in order; a leading '-' runs one backwards
};

const std::vector<Basin>& basins() {
  static const std::vector<Basin> all{
      {"C0",
       "Quarrendel (invented)",
       {"ellow-rim", "pellow-rim", "lower-east-rim", "lower-west-rim", "middle-rim", "works-south-rim",
        "upper-rim"}},
      {"C1", "Ellow Gill", {"ellow-rim", "-upper-ellow"}},
      {"C2",
       "Upper Quarrendel",
       {"upper-ellow", "upper-pellow", "upper-middle", "tarrow-upper-low", "tarrow-upper-high", "upper-rim"}},
      {"C3",
       "Tarrow Beck",
       {"tarrow-south-rim", "-tarrow-middle", "tarrow-upper-low", "tarrow-upper-high", "-works-south-rim"}},
      {"C3a",
       "Tarrow Beck above the works",
       {"tarrow-south-rim", "-works", "tarrow-upper-high", "-works-south-rim"}},
      {"C3b", "Tarrow Beck below the works", {"works", "-tarrow-middle", "tarrow-upper-low"}},
      {"C4",
       "Middle Quarrendel",
       {"middle-pellow", "middle-lower", "middle-rim", "tarrow-south-rim", "-tarrow-middle",
        "-upper-middle"}},
      {"C5", "Pellow Drain", {"pellow-rim", "-pellow-lower", "-middle-pellow", "-upper-pellow"}},
      {"C6", "Lower Quarrendel", {"lower-east-rim", "lower-west-rim", "-middle-lower", "pellow-lower"}},
  };
  return all;
}

// A smooth curve through every bend (Catmull and Rom 1974, uniform form).
std::vector<PlanePoint> curve_through(std::span<const PlanePoint> bends) {
  std::vector<PlanePoint> curve;
  const auto bend = [&](std::ptrdiff_t i) {
    return bends[static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(i, 0, std::ssize(bends) - 1))];
  };
  for (std::ptrdiff_t i = 0; i + 1 < std::ssize(bends); ++i) {
    curve.push_back(bend(i));
    for (std::size_t step = 1; step < kStepsPerBend; ++step) {
      const double t = static_cast<double>(step) / static_cast<double>(kStepsPerBend);
      const auto blend = [t](double a, double b, double c, double d) {
        return 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t * t +
                      (3 * b - a - 3 * c + d) * t * t * t);
      };
      const PlanePoint a = bend(i - 1), b = bend(i), c = bend(i + 1), d = bend(i + 2);
      curve.push_back({blend(a.x, b.x, c.x, d.x), blend(a.y, b.y, c.y, d.y)});
    }
  }
  curve.push_back(bends.back());
  return curve;
}

// `gap_m` metres before `to` on the straight way from `from`.
PlanePoint short_of(PlanePoint from, PlanePoint to, double gap_m) {
  const double length = std::hypot(to.x - from.x, to.y - from.y);
  return {to.x - (to.x - from.x) / length * gap_m, to.y - (to.y - from.y) / length * gap_m};
}

std::pair<std::size_t, double> vertex_and_share(const std::vector<PlanePoint>& curve, double bend) {
  const double at = bend * static_cast<double>(kStepsPerBend);
  const auto vertex = std::min(static_cast<std::size_t>(at), curve.size() - 2);
  return {vertex, at - static_cast<double>(vertex)};
}

core::Table empty_table(std::string file, std::vector<std::string> columns) {
  core::Table table;
  table.file = std::move(file);
  table.columns = std::move(columns);
  table.has_shapes = true;
  return table;
}

void add_row(core::Table& table, std::vector<std::string> cells, core::Shape shape) {
  core::TableRow row;
  row.line = table.rows.size() + 1;
  row.cells = std::move(cells);
  row.shape = std::move(shape);
  table.rows.push_back(std::move(row));
}

}  // namespace

Landscape::Landscape() : frame_(kMiddle) {
  for (const Sketch& sketch : sketches()) {
    std::vector<PlanePoint> bends = sketch.bends;
    if (sketch.end) {
      const PlanePoint joint = on_course(sketch.end->into, sketch.end->bend);
      bends.push_back(short_of(bends.back(), joint, sketch.end->gap_m));
    }
    Course course{sketch.name, {}, curve_through(bends), {}};
    for (const PlanePoint point : course.plane) course.line.push_back(place(point));
    for (const std::size_t cut : sketch.cuts) course.cuts.push_back(cut * kStepsPerBend);
    courses_.push_back(std::move(course));
  }
}

const Landscape::Course& Landscape::course(std::string_view name) const {
  for (const Course& course : courses_)
    if (course.name == name) return course;
  throw std::logic_error("no such watercourse: " + std::string(name));
}

// Seven decimals of a degree (about a centimetre): the same text on every machine.
core::LonLat Landscape::place(PlanePoint point) const {
  const core::LonLat exact = frame_.to_lonlat(point);
  const auto rounded = [](double degrees) { return std::round(degrees * 1e7) / 1e7; };
  return {rounded(exact.lon), rounded(exact.lat)};
}

PlanePoint Landscape::on_course(std::string_view name, double bend) const {
  const std::vector<PlanePoint>& curve = course(name).plane;
  const auto [vertex, share] = vertex_and_share(curve, bend);
  const PlanePoint a = curve[vertex], b = curve[vertex + 1];
  return {a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share};
}

PlanePoint Landscape::beside_course(std::string_view name, double bend, double left_m) const {
  const std::vector<PlanePoint>& curve = course(name).plane;
  const std::size_t vertex = vertex_and_share(curve, bend).first;
  const PlanePoint a = curve[vertex], b = curve[vertex + 1], at = on_course(name, bend);
  const double length = std::hypot(b.x - a.x, b.y - a.y);
  return {at.x - (b.y - a.y) / length * left_m, at.y + (b.x - a.x) / length * left_m};
}

core::Table Landscape::watercourses() const {
  core::Table table = empty_table("invented watercourses", {"name"});
  for (const Course& course : courses_) {
    std::vector<std::size_t> cuts = course.cuts;
    cuts.push_back(course.line.size() - 1);
    std::size_t begin = 0;
    for (const std::size_t end : cuts) {
      const auto first = course.line.begin() + static_cast<std::ptrdiff_t>(begin);
      const auto last = course.line.begin() + static_cast<std::ptrdiff_t>(end) + 1;
      add_row(table, {std::string(course.name)}, std::vector<Line>{Line(first, last)});
      begin = end;
    }
  }
  return table;
}

core::Table Landscape::catchments() const {
  std::map<std::string_view, const Border*> by_name;
  for (const Border& border : borders()) by_name[border.name] = &border;
  core::Table table = empty_table("invented catchments", {"code", "name"});
  for (const Basin& basin : basins()) {
    Line ring;
    for (std::string_view name : basin.ring) {
      const bool backwards = name.starts_with('-');
      if (backwards) name.remove_prefix(1);
      std::vector<PlanePoint> points = by_name.at(name)->points;
      if (backwards) std::reverse(points.begin(), points.end());
      for (const PlanePoint point : points) {
        const core::LonLat corner = place(point);
        if (ring.empty() || ring.back() != corner) ring.push_back(corner);
      }
    }
    add_row(table, {std::string(basin.code), std::string(basin.name)}, core::MultiPolygon{{{ring}}});
  }
  return table;
}

core::Table Landscape::waters() const {
  core::Table table = empty_table("invented ponds", {"name", "kind"});
  for (const Pond& pond : ponds()) {
    Line ring;
    for (const PlanePoint shore : pond.shore)
      ring.push_back(place({pond.middle.x + shore.x, pond.middle.y + shore.y}));
    ring.push_back(ring.front());
    add_row(table, {std::string(pond.name), "pond"}, core::MultiPolygon{{{ring}}});
  }
  return table;
}

core::Table Landscape::outfalls() const {
  std::string csv = "code,name,kind,decimalLongitude,decimalLatitude,since,until,note\n";
  for (const PlacedOutfall& outfall : placed_outfalls()) {
    const core::LonLat at = place(beside_course(outfall.course, outfall.bend, outfall.left_m));
    for (const std::string& cell :
         {std::string(outfall.code), std::string(outfall.name), std::string(outfall.kind),
          core::format_fixed(at.lon, 7), core::format_fixed(at.lat, 7), std::string(outfall.since),
          std::string(outfall.until)})
      csv += core::csv_cell(cell) + ',';
    csv += core::csv_cell(outfall.note) + '\n';
  }
  return core::read_csv(csv, "invented outfalls");
}

core::Table Landscape::sites() const {
  std::string csv =
      "locationID,locality,waterBody,kind,status,decimalLongitude,decimalLatitude,"
      "coordinateUncertaintyInMeters,habitat,"
      "locationRemarks\n";
  for (const PlacedSite& site : placed_sites()) {
    const PlanePoint point = site.on_land ? *site.on_land : beside_course(site.water, site.bend, site.left_m);
    const core::LonLat at = place(point);
    for (const std::string& cell :
         {std::string(site.code), std::string(site.name), std::string(site.water), std::string(site.kind),
          std::string(site.status), core::format_fixed(at.lon, 7), core::format_fixed(at.lat, 7),
          std::to_string(site.accuracy_m), std::string(site.habitat)})
      csv += core::csv_cell(cell) + ',';
    csv += core::csv_cell(site.note) + '\n';
  }
  return core::read_csv(csv, "invented sites");
}

core::Table Landscape::ground() const {
  constexpr double kStepInBends = 0.1;
  core::Table table = empty_table("invented ground", {"kind", "name", "note"});
  for (const PieceOfGround& piece : pieces_of_ground()) {
    Line line;
    for (const PlanePoint point : piece.points) line.push_back(place(point));
    const auto steps = std::lround((piece.to_bend - piece.from_bend) / kStepInBends);
    for (long step = 0; !piece.course.empty() && step <= steps; ++step)
      line.push_back(
          place(on_course(piece.course, piece.from_bend + kStepInBends * static_cast<double>(step))));
    core::Shape shape;
    if (piece.form == PieceOfGround::Form::kPoint) {
      shape = line.front();
    } else if (piece.form == PieceOfGround::Form::kLine) {
      shape = std::vector<Line>{line};
    } else {
      line.push_back(line.front());
      shape = core::MultiPolygon{core::Polygon{{line}}};
    }
    add_row(table, {std::string(piece.kind), std::string(piece.name), std::string(piece.note)},
            std::move(shape));
  }
  return table;
}

}  // namespace brookmark::demo
