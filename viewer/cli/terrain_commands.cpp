#include <algorithm>
#include <cmath>
#include <ostream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "geodata/terrain/terrain_output.hpp"
#include "viewer/cli/progress_bar.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

using geodata::CellIndex;

struct TerrainCommand {
  std::filesystem::path dem, streams, catchments, hillshade, survey;
  std::vector<std::string> outlets;
  std::string crs;
  std::int64_t threshold = 1000;
  double snap_limit_m = 250;
  std::filesystem::path flow_paths;
  bool breach = false, between = false, exact = false, force = false;
};

struct Outlet {
  std::string name;
  core::PlanePoint at;  // in the terrain's coordinates
  std::string note;     // why it has no cell
  bool own_cell =
      false;  // stays where it is: a still water is fed by the land around it, not by a channel nearby
  std::optional<geodata::SnappedOutlet> snapped;
};

core::PlanePoint parse_point(const std::string& words) {
  const std::vector<std::string> parts = core::split(words, ',');
  if (parts.size() == 2) {
    const auto x = core::parse_number(parts[0]), y = core::parse_number(parts[1]);
    if (x && y) return {*x, *y};
  }
  throw Error(ErrorCode::kBadInput,
              "\"" + words +
                  "\" is not a point; write --outlet X,Y in the coordinates of the terrain model, easting "
                  "or longitude first, like --outlet 500120,5983410 or --outlet=-30.01,45.02");
}

// Of a coordinate: degrees or metres.
int shown_decimals(const geodata::DemFile& dem) {
  return dem.place().width < 0.1 ? 7 : 2;
}

// Named on the command line: one outside the terrain is a mistake.
void add_named(const TerrainCommand& command, const geodata::DemFile& dem, std::vector<Outlet>& outlets) {
  for (const std::string& words : command.outlets) {
    const core::PlanePoint at = parse_point(words);
    if (!dem.place().cell_at(at, dem.size())) {
      const core::PlanePoint last = dem.place().corner(dem.size().rows, dem.size().cols);
      const auto shown = [&](double value) { return core::format_fixed(value, shown_decimals(dem)); };
      throw Error(ErrorCode::kBadInput, "the outlet " + words +
                                            " lies outside the terrain model, which spans x " +
                                            shown(dem.place().west) + " to " + shown(last.x) + " and y " +
                                            shown(last.y) + " to " + shown(dem.place().north));
    }
    outlets.push_back({std::to_string(outlets.size() + 1), at, {}, command.exact, {}});
  }
}

// Sites of a survey may well lie outside: they are listed and have no catchment.
void add_sites(const TerrainCommand& command, const geodata::DemFile& dem, const Console& console,
               std::vector<Outlet>& outlets) {
  if (command.survey.empty()) return;
  const Session session = open_for(command.survey, console);
  for (std::size_t i = 0; i < session.snapshot.sites.size(); ++i) {
    const bool still = core::flow_of(session.snapshot.sites.kind[i]) == core::Flow::kStill;
    Outlet outlet{std::string(session.snapshot.sites.code[i]), {NAN, NAN}, {}, command.exact || still, {}};
    const core::LonLat position = session.snapshot.sites.position[i];
    const auto at = core::is_placed(position) ? dem.from_lonlat(position) : std::nullopt;
    if (!core::is_placed(position))
      outlet.note = "no position is noted for this site";
    else if (!at || !dem.place().cell_at(*at, dem.size()))
      outlet.note = "the site lies outside the terrain model";
    if (at) outlet.at = *at;
    outlets.push_back(std::move(outlet));
  }
  if (std::none_of(outlets.begin(), outlets.end(), [](const Outlet& o) { return o.note.empty(); }))
    throw Error(
        ErrorCode::kBadInput,
        "no site of the survey lies on the terrain model; look whether it is the right model, and whether "
        "its coordinate system is (--crs)",
        command.survey.string());
}

void snap(const TerrainCommand& command, const geodata::DemFile& dem, const geodata::FlowGrid& flow,
          std::vector<Outlet>& outlets) {
  const auto threshold = static_cast<std::uint32_t>(command.threshold);
  for (Outlet& outlet : outlets) {
    if (!outlet.note.empty()) continue;
    if (outlet.own_cell) {
      const auto cell = dem.place().cell_at(outlet.at, dem.size());
      if (cell && flow.upstream[*cell] > 0)
        outlet.snapped = geodata::SnappedOutlet{*cell, 0};
      else
        outlet.note = "the terrain model has no height here";
      continue;
    }
    outlet.snapped =
        geodata::nearest_channel_cell(flow, dem.place(), outlet.at, threshold, command.snap_limit_m);
    if (!outlet.snapped)
      outlet.note = "no channel of " + std::to_string(threshold) + " cells within " +
                    core::format_number(command.snap_limit_m) + " m";
  }
}

struct Found {
  std::vector<std::size_t> outlet;  // of each catchment
  geodata::CatchmentCells cells;
};

Found find(const geodata::FlowGrid& flow, const std::vector<Outlet>& outlets) {
  Found found;
  std::vector<CellIndex> cells;
  for (std::size_t i = 0; i < outlets.size(); ++i) {
    if (!outlets[i].snapped) continue;
    found.outlet.push_back(i);
    cells.push_back(outlets[i].snapped->cell);
  }
  found.cells = geodata::find_catchments(flow, cells);
  return found;
}

// Whole catchments, which nest; or what lies between an outlet and those above it, which do not overlap.
std::vector<geodata::NamedCatchment> named(const Found& found, const std::vector<Outlet>& outlets,
                                           bool between) {
  std::vector<geodata::NamedCatchment> named;
  for (std::size_t i = 0; i < found.outlet.size(); ++i) {
    const geodata::CatchmentArea& area = found.cells.areas[i];
    if (area.own_cells == 0) continue;  // on the cell of an outlet before it
    geodata::NamedCatchment one;
    one.name = outlets[found.outlet[i]].name;
    if (area.inside) one.inside = outlets[found.outlet[*area.inside]].name;
    one.sub_catchments = between ? std::vector<std::size_t>{i} : found.cells.with_inner(i);
    one.cells = between ? area.own_cells : area.whole_cells;
    one.area_m2 = between ? area.own_area_m2 : area.whole_area_m2;
    named.push_back(std::move(one));
  }
  return named;
}

// From each place the way of the water over the ground to the first channel cell, or off the model.
std::vector<geodata::StreamReach> flow_paths(const TerrainCommand& command, const geodata::DemFile& dem,
                                             const geodata::FlowGrid& flow,
                                             const std::vector<Outlet>& outlets) {
  std::vector<geodata::StreamReach> paths;
  for (const Outlet& outlet : outlets) {
    const auto cell = std::isnan(outlet.at.x) ? std::nullopt : dem.place().cell_at(outlet.at, dem.size());
    if (!cell) continue;
    geodata::FlowPath path =
        geodata::overland_path(flow, *cell, static_cast<std::uint32_t>(command.threshold));
    if (path.cells.size() < 2) continue;  // on a channel already, or without a height
    geodata::StreamReach reach;
    reach.length_m = path.length_m;
    reach.upstream_cells = flow.upstream[path.cells[path.cells.size() - 2]];
    reach.cells = std::move(path.cells);
    paths.push_back(std::move(reach));
  }
  return paths;
}

Rows outlet_rows(const geodata::DemFile& dem, const std::vector<Outlet>& outlets, const Found& found) {
  Rows rows{{"outlet", "x", "y", "snapped_x", "snapped_y", "snap_m", "cells", "area_km2", "own_cells",
             "own_area_km2", "inside", "note"},
            {}};
  const int decimals = shown_decimals(dem);
  std::size_t next = 0;
  for (std::size_t i = 0; i < outlets.size(); ++i) {
    const Outlet& outlet = outlets[i];
    std::vector<Cell> row{text(outlet.name)};
    const bool placed = !std::isnan(outlet.at.x);
    row.push_back(placed ? number(outlet.at.x, decimals) : Cell{});
    row.push_back(placed ? number(outlet.at.y, decimals) : Cell{});
    if (!outlet.snapped) {
      row.resize(11);
      row.push_back(text(outlet.note));
      rows.add(std::move(row));
      continue;
    }
    const std::size_t which = next++;
    const geodata::CatchmentArea& area = found.cells.areas[which];
    const std::size_t cols = dem.size().cols;
    const core::PlanePoint cell =
        dem.place().centre(outlet.snapped->cell / cols, outlet.snapped->cell % cols);
    row.push_back(number(cell.x, decimals));
    row.push_back(number(cell.y, decimals));
    row.push_back(number(outlet.snapped->distance_m, 1));
    row.push_back(whole(area.whole_cells));
    row.push_back(number(area.whole_area_m2 / 1e6, 6));
    row.push_back(whole(area.own_cells));
    row.push_back(number(area.own_area_m2 / 1e6, 6));
    row.push_back(area.inside ? text(outlets[found.outlet[*area.inside]].name) : Cell{});
    const std::uint32_t owner = found.cells.owner[outlet.snapped->cell];
    row.push_back(owner == which + 1 ? Cell{}
                                     : text("on the same cell as " + outlets[found.outlet[owner - 1]].name));
    rows.add(std::move(row));
  }
  return rows;
}

Rows summary_rows(const geodata::FlowGrid& flow, std::int64_t threshold) {
  double area_m2 = 0;
  std::size_t channel_cells = 0;
  std::uint32_t most = 0;
  for (std::size_t r = 0; r < flow.size.rows; ++r)
    for (std::size_t c = 0; c < flow.size.cols; ++c) {
      const std::uint32_t cells = flow.upstream.at(r, c);
      if (cells == 0) continue;
      area_m2 += flow.rows[r].area_m2;
      channel_cells += cells >= threshold ? 1 : 0;
      most = std::max(most, cells);
    }
  Rows rows{{"rows", "cols", "cells", "area_km2", "depressions", "changed_cells", "flat_cells",
             "channel_cells", "largest_catchment_cells"},
            {}};
  rows.add({whole(flow.size.rows), whole(flow.size.cols), whole(flow.valid_cells), number(area_m2 / 1e6, 6),
            whole(flow.depressions), whole(flow.changed_cells), whole(flow.flat_cells), whole(channel_cells),
            whole(most)});
  return rows;
}

int run_terrain(const TerrainCommand& command, const Console& console) {
  const bool wants_catchments = !command.outlets.empty() || !command.survey.empty();
  if (!command.catchments.empty() && !wants_catchments)
    throw Error(
        ErrorCode::kBadUse,
        "--catchments needs to know of which points: give --outlet X,Y, or --survey SURVEY for its sites");
  geodata::DemFile dem(command.dem, {command.crs});
  if (!command.flow_paths.empty() && !wants_catchments)
    throw Error(ErrorCode::kBadUse,
                "--flow-paths needs to know from where: give --outlet X,Y, or --survey SURVEY for its sites");
  geodata::check_terrain_targets({command.streams, command.catchments, command.flow_paths}, command.hillshade,
                                 {command.dem, command.survey}, command.force);
  std::vector<Outlet> outlets;
  add_named(command, dem, outlets);
  add_sites(command, dem, console, outlets);

  Rows rows;
  std::size_t reaches_found = 0;
  {
    ProgressBar bar(console);
    const auto output = [&](const char* what, double from, double to) {
      return geodata::TerrainOutputOptions{command.force, bar.part(what, from, to)};
    };
    geodata::Raster<float> heights = dem.read(bar.part("reading heights", 0, 0.2));
    geodata::FlowGrid flow =
        geodata::route_flow(std::move(heights), dem.rows(),
                            {.breach = command.breach, .progress = bar.part("routing water", 0.2, 0.8)});
    flow.height = {};  // not needed any more
    if (!command.hillshade.empty())
      geodata::write_hillshade(command.hillshade, dem, output("hillshade", 0.8, 0.9));
    if (!command.streams.empty()) {
      const auto reaches = geodata::trace_streams(flow, static_cast<std::uint32_t>(command.threshold));
      reaches_found = reaches.size();
      geodata::write_streams(command.streams, dem, flow, reaches, output("channels", 0.9, 0.95));
    }
    if (!command.flow_paths.empty())
      geodata::write_streams(command.flow_paths, dem, flow, flow_paths(command, dem, flow, outlets),
                             output("flow paths", 0.95, 0.96));
    if (wants_catchments) {
      snap(command, dem, flow, outlets);
      const Found found = find(flow, outlets);
      rows = outlet_rows(dem, outlets, found);
      if (!command.catchments.empty())
        geodata::write_catchments(command.catchments, dem, found.cells,
                                  named(found, outlets, command.between), output("catchments", 0.95, 1));
    } else {
      rows = summary_rows(flow, command.threshold);
    }
  }
  console.rows(rows);
  for (const std::string& note : dem.notes()) console.err << note << '\n';
  if (!command.streams.empty())
    console.err << "wrote " << command.streams.string() << ": " << reaches_found << " reaches\n";
  if (!command.catchments.empty()) console.err << "wrote " << command.catchments.string() << '\n';
  if (!command.flow_paths.empty()) console.err << "wrote " << command.flow_paths.string() << '\n';
  if (!command.hillshade.empty()) console.err << "wrote " << command.hillshade.string() << '\n';
  const bool all_found =
      std::all_of(outlets.begin(), outlets.end(), [](const Outlet& o) { return o.snapped; });
  if (!all_found) console.err << "some outlets have no catchment; the note says why\n";
  return all_found ? kDone : kAnswerIsNo;
}

}  // namespace

void add_terrain_verbs(Verbs& verbs) {
  const auto command = std::make_shared<TerrainCommand>();
  verbs
      .add("terrain", "channels and catchments from a terrain model",
           [command](const Console& c) { return run_terrain(*command, c); })
      .word("DEM", command->dem, "a raster of heights in metres, any format that GDAL reads")
      .required()
      .option("--outlet", command->outlets,
              "X,Y in the terrain's coordinates: the catchment of this point; may be given several times")
      .option("--survey", command->survey, "the catchments of all sites of this survey")
      .option("--streams", command->streams, "write the channels to this file, drawn downstream")
      .option("--catchments", command->catchments, "write the catchments to this file")
      .flag("--between", command->between,
            "with --catchments: only the land between an outlet and those above it, so that nothing overlaps")
      .option("--flow-paths", command->flow_paths,
              "write the way of the water from each outlet over the ground to the first channel to this file")
      .flag("--exact", command->exact,
            "outlets stay on their own cell (sites on still waters always do) instead of the nearest channel "
            "cell")
      .option("--hillshade", command->hillshade, "write the relief, lit from the north-west, to this GeoTIFF")
      .whole("--threshold", command->threshold, 1, 4'000'000'000,
             "a channel begins where so many cells drain through; default 1000 (common practice, no source)")
      .number("--snap-limit", command->snap_limit_m, 0, 1e6,
              "an outlet moves to the nearest channel cell within so many metres; default 250")
      .flag("--breach", command->breach, "cut through the rims of depressions instead of filling them")
      .option("--crs", command->crs,
              "system of the coordinates where the file does not say or is wrong, EPSG:number")
      .flag("--force", command->force, "replace files that are already there")
      .with_format();
}

}  // namespace brookmark::viewer
