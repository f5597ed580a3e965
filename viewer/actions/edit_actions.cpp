#include "viewer/actions/edit_actions.hpp"

#include <algorithm>
#include <cmath>

#include "core/base/text.hpp"
#include "core/base/uuid.hpp"
#include "viewer/actions/near_lines_internal.hpp"

namespace brookmark::viewer {
namespace {

constexpr double kSamePlace_m = 0.05;  // nearer than this two vertices are one
constexpr std::size_t kMostSteps = 200;

bool of_reach(EditTool tool) {
  return tool == EditTool::kDrawReach || tool == EditTool::kFixReach;
}

std::string degrees(double value) {
  return core::format_fixed(value, 7);
}

core::RawPosition placed(core::LonLat at, double metres_per_pixel) {
  core::RawPosition raw{degrees(at.lon), degrees(at.lat), "EPSG:4326", "placed on the map"};
  if (metres_per_pixel > 0)
    raw.note += ", where one pixel was " + core::format_fixed(metres_per_pixel, 1) + " m";
  return raw;
}

struct OnMap {
  State& state;
  const Model& model;

  MapEdit& edit() const { return state.edit; }
  core::PlanePoint plane(core::LonLat at) const { return model.frame().to_plane(at); }

  void remember() const {
    MapEdit& e = edit();
    if (e.before.size() >= kMostSteps) e.before.erase(e.before.begin());
    e.before.push_back(e.points);
    e.trouble.clear();
  }

  EditVertex vertex_at(Pixel at, double reach_px) const {
    const core::LonLat place = model.frame().to_lonlat(state.view.to_plane(at));
    if (of_reach(edit().tool))
      if (auto joined = joined_vertex(model, place, reach_px * state.view.metres_per_pixel, edit().key))
        return *joined;
    return {place, {}, 0};
  }

  std::optional<std::size_t> vertex_under(Pixel at, double reach_px) const {
    std::optional<std::size_t> found;
    double nearest = reach_px;
    for (std::size_t i = 0; i < edit().points.size(); ++i) {
      const Pixel p = state.view.to_pixel(plane(edit().points[i].at));
      if (const double d = std::hypot(p.x - at.x, p.y - at.y); d <= nearest) nearest = d, found = i;
    }
    return found;
  }

  // The gap between two vertices that a tap lies on: the index of the later one.
  std::optional<std::size_t> between(Pixel at, double reach_px) const {
    std::optional<std::size_t> found;
    double nearest = reach_px * state.view.metres_per_pixel;
    const core::PlanePoint p = state.view.to_plane(at);
    for (std::size_t i = 1; i < edit().points.size(); ++i)
      if (const double d = nearest_on(plane(edit().points[i - 1].at), plane(edit().points[i].at), p).distance;
          d <= nearest)
        nearest = d, found = i;
    return found;
  }

  void place(const EditVertex& vertex) const {
    MapEdit& e = edit();
    remember();
    e.metres_per_pixel = state.view.metres_per_pixel;
    if (of_reach(e.tool)) {
      e.points.push_back(vertex);
      e.chosen = e.points.size() - 1;
    } else {
      e.points.assign(1, vertex);
      e.chosen = 0;
    }
  }

  void begin_fix(Pixel at, double reach_px) const {
    const core::PlanePoint p = state.view.to_plane(at);
    double nearest = reach_px * state.view.metres_per_pixel;
    const core::Reach* found = nullptr;
    const Near near(model.frame().to_lonlat(p), nearest);
    for (const core::Reach& reach : model.snapshot().reaches)
      for (std::size_t i = 1; i < reach.line.size(); ++i) {
        if (!near(reach.line[i - 1], reach.line[i])) continue;
        const double d = nearest_on(plane(reach.line[i - 1]), plane(reach.line[i]), p).distance;
        if (d <= nearest) nearest = d, found = &reach;
      }
    MapEdit& e = edit();
    if (!found) {
      e.trouble = "No reach lies there; tap on the line that is to be put right.";
      return;
    }
    e.trouble.clear();
    e.key = found->key;
    e.name = found->name;
    e.two_way = found->two_way;
    e.points.clear();
    for (const core::LonLat vertex : found->line) e.points.push_back({vertex, {}, 0});
    e.before.clear();
  }

  void operator()(const TakeTool& a) const {
    MapEdit fresh;
    fresh.tool = a.tool;
    const core::Snapshot& s = model.snapshot();
    if (a.tool == EditTool::kAddSite) {
      std::vector<std::string> codes;
      for (std::size_t i = 0; i < s.sites.size(); ++i) codes.emplace_back(s.sites.code[i]);
      fresh.code = next_code(codes, "S01");
      if (state.site) fresh.water_kind = s.sites.kind[state.site->value()];
    } else if (a.tool == EditTool::kAddOutfall) {
      std::vector<std::string> codes;
      for (const core::Outfall& o : s.outfalls) codes.push_back(o.code);
      fresh.code = next_code(codes, "O01");
    } else if (a.tool == EditTool::kMoveSite) {
      if (!state.site) {
        edit() = {};
        edit().trouble = "Choose the site first, by a tap on it; then move it.";
        return;
      }
      const std::size_t i = state.site->value();
      fresh.key = s.sites.key[i];
      fresh.code = s.sites.code[i];
      if (core::is_placed(s.sites.position[i])) {
        fresh.from = s.sites.position[i];
        fresh.points.push_back({*fresh.from, {}, 0});
      }
    }
    edit() = std::move(fresh);
    state.picking_point = false;
    state.hover = {};
    if (a.tool != EditTool::kNone) state.page = Page::kEdit;
    // A place that was asked for is where the new one stands, until another is tapped.
    if (state.map.found && (a.tool == EditTool::kAddSite || a.tool == EditTool::kAddOutfall))
      (*this)(PlaceEdit{*state.map.found});
  }
  void operator()(const TapEdit& a) const {
    MapEdit& e = edit();
    if (e.tool == EditTool::kNone) return;
    if (e.tool == EditTool::kFixReach && e.key.empty()) return begin_fix(a.at, a.reach_px);
    if (of_reach(e.tool)) {
      if (const auto under = vertex_under(a.at, a.reach_px)) {
        e.chosen = under;
        return;
      }
      if (const auto later = between(a.at, a.reach_px)) {
        remember();
        e.points.insert(e.points.begin() + static_cast<std::ptrdiff_t>(*later), vertex_at(a.at, 0));
        e.chosen = later;
        return;
      }
      if (e.tool == EditTool::kFixReach) {
        e.chosen.reset();
        return;
      }
    }
    place(vertex_at(a.at, a.reach_px));
  }
  void operator()(const GrabEdit& a) const {
    MapEdit& e = edit();
    e.grabbed.reset();
    if (e.tool == EditTool::kNone) return;
    if (const auto under = vertex_under(a.at, a.reach_px)) {
      remember();
      e.grabbed = under;
    }
  }
  void operator()(const DragEdit& a) const {
    MapEdit& e = edit();
    if (!e.grabbed || *e.grabbed >= e.points.size()) return;
    e.chosen = e.grabbed;
    e.metres_per_pixel = state.view.metres_per_pixel;
    e.points[*e.grabbed] = vertex_at(a.at, a.reach_px);
  }
  void operator()(const DropEdit&) const {
    MapEdit& e = edit();
    if (!e.grabbed) return;
    e.grabbed.reset();
    // A finger that did not move has changed nothing.
    const auto same = [](const EditVertex& x, const EditVertex& y) { return x.at == y.at; };
    if (!e.before.empty() && e.before.back().size() == e.points.size() &&
        std::equal(e.points.begin(), e.points.end(), e.before.back().begin(), same))
      e.before.pop_back();
  }
  void operator()(const PlaceEdit& a) const {
    if (edit().tool == EditTool::kNone || !core::is_valid(a.at)) return;
    if (edit().tool == EditTool::kFixReach) return;
    EditVertex vertex{a.at, {}, 0};
    if (edit().tool == EditTool::kDrawReach)
      if (auto joined =
              joined_vertex(model, a.at, model.session().channels.options().join_tolerance_m, edit().key))
        vertex = *joined;
    place(vertex);
    edit().metres_per_pixel = 0;  // typed, not pointed at
  }
  void operator()(const TypeEditCode& a) const { edit().code = a.words; }
  void operator()(const TypeEditName& a) const { edit().name = a.words; }
  void operator()(const ChooseEditWater& a) const { edit().water_kind = a.kind; }
  void operator()(const ChooseEditOutfall& a) const { edit().outfall_kind = a.kind; }
  void operator()(const SetTwoWay& a) const { edit().two_way = a.two_way; }
  void operator()(const TurnReach&) const {
    if (!of_reach(edit().tool)) return;
    remember();
    std::reverse(edit().points.begin(), edit().points.end());
    edit().chosen.reset();
  }
  void operator()(const TakeOutVertex&) const {
    MapEdit& e = edit();
    if (!of_reach(e.tool) || !e.chosen || *e.chosen >= e.points.size()) return;
    if (e.tool == EditTool::kFixReach && e.points.size() <= 2) {
      e.trouble = "A reach needs two points; to take it away altogether, remove it.";
      return;
    }
    remember();
    e.points.erase(e.points.begin() + static_cast<std::ptrdiff_t>(*e.chosen));
    e.chosen.reset();
  }
  void operator()(const StepBackEdit&) const {
    MapEdit& e = edit();
    if (e.before.empty()) return;
    e.points = std::move(e.before.back());
    e.before.pop_back();
    e.chosen.reset();
    e.trouble.clear();
  }

  void send(core::EditBatch batch) const {
    Order order;
    order.batch = std::move(batch);
    order.of_map = true;
    state.orders.push_back(std::move(order));
  }

  bool refuse(const std::string& sentence) const {
    edit().trouble = sentence;
    return false;
  }

  bool code_is_good(bool taken, const char* what) const {
    if (edit().points.empty()) return refuse("Tap the place on the map first.");
    if (edit().code.empty()) return refuse(std::string(what) + " needs a code, by which it is found again.");
    if (taken) return refuse("\u201C" + edit().code + "\u201D is taken already; choose another code.");
    return true;
  }

  void store_site() const {
    MapEdit& e = edit();
    core::Site site;
    site.code = core::trim(e.code);
    e.code = site.code;
    const auto other = model.snapshot().find_site(site.code);
    if (!code_is_good(other && model.snapshot().sites.code[other->value()] == site.code, "A site")) return;
    site.key = core::random_uuid();
    site.name = core::trim(e.name);
    site.kind = e.water_kind;
    site.position = e.points.front().at;
    site.raw = placed(site.position, e.metres_per_pixel);
    e.key = site.key;
    state.show_site = site.key;
    send({"add site", "Site " + site.code + " added", {core::AddSite{site}}});
  }

  void move_site() const {
    MapEdit& e = edit();
    if (e.points.empty()) {
      refuse("Tap the place on the map first.");
      return;
    }
    const core::LonLat to = e.points.front().at;
    if (e.from && *e.from == to) {
      refuse("It stands there already; drag it, or tap its new place.");
      return;
    }
    std::string summary = "Site " + e.code +
                          (e.from ? " moved by " + core::format_fixed(core::geodesic_m(*e.from, to), 1) + " m"
                                  : " given a position");
    send({"move site", std::move(summary), {core::MoveSite{e.key, to, placed(to, e.metres_per_pixel)}}});
  }

  void store_outfall() const {
    MapEdit& e = edit();
    core::Outfall outfall;
    outfall.code = core::trim(e.code);
    e.code = outfall.code;
    const auto& all = model.snapshot().outfalls;
    const bool taken =
        std::any_of(all.begin(), all.end(), [&](const core::Outfall& o) { return o.code == outfall.code; });
    if (!code_is_good(taken, "An outfall")) return;
    outfall.key = core::random_uuid();
    outfall.name = core::trim(e.name);
    outfall.kind = e.outfall_kind;
    outfall.position = e.points.front().at;
    outfall.raw = placed(outfall.position, e.metres_per_pixel);
    send({"add outfall", "Outfall " + outfall.code + " added", {core::AddOutfall{outfall}}});
  }

  void store_reach() const {
    MapEdit& e = edit();
    core::Reach reach;
    std::string note = e.tool == EditTool::kDrawReach ? "drawn on the map" : "";
    if (e.tool == EditTool::kFixReach) {
      const auto& all = model.snapshot().reaches;
      const auto old =
          std::find_if(all.begin(), all.end(), [&](const core::Reach& r) { return r.key == e.key; });
      if (old == all.end()) {
        refuse("Tap on the line that is to be put right first.");
        return;
      }
      reach = *old;
      note = "put right on the map";
    } else {
      reach.key = core::random_uuid();
    }
    reach.name = core::trim(e.name);
    reach.two_way = e.two_way;
    reach.line.clear();
    for (const EditVertex& v : e.points) {
      if (!reach.line.empty() && core::geodesic_m(reach.line.back(), v.at) < kSamePlace_m) continue;
      reach.line.push_back(v.at);
      if (!v.joined.empty())
        core::append_note(
            note, "a point was put onto " + v.joined + ", " + core::format_fixed(v.joined_m, 1) + " m away");
    }
    if (reach.line.size() < 2) {
      refuse("A reach needs two points at least, drawn downstream.");
      return;
    }
    core::append_note(reach.note, note);
    const std::string name = reach.name.empty() ? "a reach" : reach.name;
    const std::string length = core::format_fixed(core::length_m(reach.line), 0) + " m";
    if (e.tool == EditTool::kDrawReach)
      send({"draw reach", "Drew " + name + ", " + length, {core::AddReach{reach}}});
    else
      send({"put reach right", "Put " + name + " right, now " + length, {core::Replace<core::Reach>{reach}}});
  }

  void operator()(const StoreEdit&) const {
    edit().trouble.clear();
    switch (edit().tool) {
      case EditTool::kNone:
        return;
      case EditTool::kAddSite:
        return store_site();
      case EditTool::kMoveSite:
        return move_site();
      case EditTool::kAddOutfall:
        return store_outfall();
      case EditTool::kDrawReach:
      case EditTool::kFixReach:
        return store_reach();
    }
  }
  void operator()(const SetStatus& a) const {
    if (!state.site || state.site->value() >= model.snapshot().sites.size()) return;
    const core::SiteColumns& sites = model.snapshot().sites;
    const std::size_t i = state.site->value();
    if (sites.status[i] == a.status) return;
    send({"site status",
          "Site " + std::string(sites.code[i]) + " is now " + core::site_status_name(a.status),
          {core::SetSiteStatus{std::string(sites.key[i]), a.status}}});
  }
  void operator()(const RemoveReach&) const {
    if (edit().tool != EditTool::kFixReach || edit().key.empty()) return;
    send({"remove reach",
          "Removed " + (edit().name.empty() ? std::string("a reach") : edit().name),
          {core::Remove{core::TableName::kReach, edit().key}}});
  }
};

}  // namespace

void apply_edit(const EditAction& action, State& state, const Model& model) {
  std::visit(OnMap{state, model}, action);
}

void settle_map_edit(const Order& order, const OrderOutcome& outcome, State& state) {
  if (!order.of_map) return;
  if (outcome.done)
    state.edit = {};
  else
    state.edit.trouble = outcome.sentence;
}

std::string next_code(const std::vector<std::string>& codes, const std::string& otherwise) {
  // The newest of the most usual kind of code counts on: the longest run of digits at its end.
  std::string best;
  std::int64_t highest = -1;
  std::size_t digits = 0;
  for (const std::string& code : codes) {
    std::size_t at = code.size();
    while (at > 0 && code[at - 1] >= '0' && code[at - 1] <= '9') --at;
    const auto n = core::parse_integer(std::string_view(code).substr(at));
    if (!n || code.size() - at > 9) continue;
    if (*n > highest || (*n == highest && code.substr(0, at) < best)) {
      highest = *n;
      best = code.substr(0, at);
      digits = code.size() - at;
    }
  }
  if (highest < 0) return otherwise;
  for (std::int64_t n = highest + 1;; ++n) {
    std::string number = std::to_string(n);
    if (number.size() < digits) number.insert(0, digits - number.size(), '0');
    if (std::find(codes.begin(), codes.end(), best + number) == codes.end()) return best + number;
  }
}

}  // namespace brookmark::viewer
