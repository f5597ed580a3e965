// The names of catchments, where nothing else stands, and never inside another one.
#include <algorithm>
#include <cmath>
#include <string_view>

#include "viewer/map/labels.hpp"
#include "viewer/panels/panels_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"
#include "viewer/panels/words.hpp"

namespace brookmark::viewer {
namespace {

constexpr const char* kBetween = " \u00B7 ";
constexpr double kLaterPlace_px = 0.6;  // taste
// What a shorter form may save of line under it, in font heights, before it is taken instead; taste.
constexpr double kFolded_ems = 0.4, kBare_ems = 0.9;
constexpr double kClear_ems = 0.15;  // of line under words: as good as none
constexpr double kOwnShare = 0.25;   // of a catchment outside its named parts, from which it is named itself

class CatchmentNames {
 public:
  CatchmentNames(const Ui& ui, ImDrawList& list, LabelSpace& space, std::vector<MapWord>& told)
      : ui_(ui), list_(list), space_(space), told_(told) {}

  std::set<std::size_t> all() {
    for (const MapScene::CatchmentName& name : ui_.scene.catchment_names) catchment_label(name);
    return named_;
  }

 private:
  // What its sites say of it, under the name of a catchment.
  std::string catchment_words(std::size_t index) const {
    if (!ui_.assessment || index >= ui_.assessment->catchments.size()) return {};
    const core::CatchmentAssessment& c = ui_.assessment->catchments[index];
    if (c.assessed_sites == 0 || c.worst_rank == 0) return {};
    return "\nmiddle " + std::to_string(c.median_rank) + kBetween + "worst " + std::to_string(c.worst_rank) +
           kBetween + count_of(c.assessed_sites, "site", "sites");
  }

  // With what is known of it; or the bare name, in one line or in two, where there is no room for more. A
  // catchment whose parts are named is named only where it has ground of its own.
  void catchment_label(const MapScene::CatchmentName& name) {
    if (!may_be_named(name)) return;
    const bool parts_named = std::any_of(name.parts.begin(), name.parts.end(), [&](std::size_t part) {
      return named_.contains(part) || spoken_for_.contains(part);
    });
    if (parts_named) spoken_for_.insert(name.index);
    if (parts_named && name.places.own_share() < kOwnShare) return;
    const bool own = parts_named || name.places.own_share() >= kOwnShare;
    const PlaneBox& bounds = name.places.bounds();
    const Viewport& view = ui_.state.view;
    const auto seen = [&](double x, double y) { return view.box.contains(view.to_pixel({x, y})); };
    // Its name in one of its parts would seem to be that part's: only where the whole is in view.
    if (!own && (!seen(bounds.min_x, bounds.min_y) || !seen(bounds.max_x, bounds.max_y))) return;
    const std::string more = catchment_words(name.index);
    std::string folded = name.text, more_folded = more;
    if (const std::size_t space = folded.find(' ', folded.size() / 3); space != std::string::npos)
      folded[space] = '\n';
    if (const std::size_t last = more.rfind(kBetween); last != std::string::npos)
      more_folded.replace(last, std::string_view(kBetween).size(), "\n");
    // Rather less of it, or in more lines, than across a watercourse.
    const double em = ui_.theme.em;
    std::vector<Form> forms;
    if (!more.empty()) forms.push_back({name.text + more, 0, true});
    if (more_folded != more) forms.push_back({name.text + more_folded, kFolded_ems * em, true});
    forms.push_back({name.text, more.empty() ? 0 : kBare_ems * em, false});
    if (folded != name.text)
      forms.push_back({folded, (more.empty() ? kFolded_ems : kBare_ems + kFolded_ems) * em, false});
    const Form* chosen = nullptr;
    PixelBox box;
    double least = 0;
    for (const Form& form : forms) {
      if (chosen != nullptr && form.worse_px >= least) break;
      const auto place = best_place(name, own, form.words);
      if (!place) continue;
      const double under = space_.line_under(*place),
                   cost = form.worse_px + (under > kClear_ems * em ? under : 0);
      if (chosen != nullptr && cost >= least) continue;
      chosen = &form, box = *place, least = cost;
    }
    if (chosen == nullptr) return;
    ui_.shown.catchment_classes = ui_.shown.catchment_classes || chosen->with_classes;
    write(box, chosen->words);
    named_.insert(name.index);
  }

  struct Form {
    std::string words;
    double worse_px;  // as if so much line were under it
    bool with_classes;
  };

  // Of thousands most are out of view, or too small for any word.
  bool may_be_named(const MapScene::CatchmentName& name) const {
    const PlaneBox& bounds = name.places.bounds();
    const double scale = ui_.state.view.metres_per_pixel;
    if ((bounds.max_y - bounds.min_y) / scale < ui_.theme.small->FontSize ||
        (bounds.max_x - bounds.min_x) / scale < ui_.theme.em)
      return !name.parts.empty();  // what its parts say goes for it too
    const PlaneBox shown = ui_.state.view.shown();
    return bounds.max_x >= shown.min_x && bounds.min_x <= shown.max_x && bounds.max_y >= shown.min_y &&
           bounds.min_y <= shown.max_y;
  }

  // Inside, over nothing, and with as little line under it as may be.
  std::optional<PixelBox> best_place(const MapScene::CatchmentName& name, bool own,
                                     const std::string& words) const {
    ImFont* font = ui_.theme.small;
    const ImVec2 extent = font->CalcTextSizeA(font->FontSize, 1e6F, 0, words.c_str());
    const Viewport& view = ui_.state.view;
    const PlaneBox& bounds = name.places.bounds();
    if (extent.x > (bounds.max_x - bounds.min_x) / view.metres_per_pixel ||
        extent.y > (bounds.max_y - bounds.min_y) / view.metres_per_pixel)
      return std::nullopt;
    // Of its places the one with the least line under it; a later one is worth a few pixels of line.
    std::optional<PixelBox> best;
    double least = 0;
    const auto consider = [&](core::PlanePoint place, double later) {
      if (best && later >= least) return;
      const Pixel p = view.to_pixel(place);
      if (!view.box.contains(p)) return;
      const PixelBox box{p.x - extent.x / 2, p.y - extent.y / 2, extent.x, extent.y};
      if (!space_.has_room(box)) return;
      const double cost = later + space_.line_under(box);
      if (best && cost >= least) return;
      const core::PlanePoint low = view.to_plane({box.left, box.bottom()}),
                             high = view.to_plane({box.right(), box.top});
      if (!name.places.holds({low.x, low.y, high.x, high.y}, own)) return;
      best = box;
      least = cost;
    };
    double later = 0;
    for (const core::PlanePoint place : own ? name.places.own() : name.places.anywhere())
      consider(place, kLaterPlace_px * later++);
    // The middle of the view last: inside a wide catchment its own places may all lie outside.
    if (!best) consider(view.centre, 0);
    if (!best) return std::nullopt;
    // Over a line: perhaps a step aside is beside it.
    const PixelBox first = *best;
    least = space_.line_under(first);
    for (const double across : {0.0, -0.3, 0.3, -0.6, 0.6})
      for (const double down : {0.0, -1.0, 1.0, -2.0, 2.0})
        consider(view.to_plane(
                     {first.left + first.width * (0.5 + across), first.top + first.height * (0.5 + down)}),
                 kLaterPlace_px);
    return best;
  }

  void write(const PixelBox& box, const std::string& words) {
    space_.block_words(box);
    told_.push_back({box, words, {}});
    text_with_halo(list_, ui_.theme, ui_.theme.small,
                   {static_cast<float>(box.left), static_cast<float>(box.top)}, ui_.theme.ink.catchment_text,
                   words);
  }

  const Ui& ui_;
  ImDrawList& list_;
  LabelSpace& space_;
  std::vector<MapWord>& told_;
  std::set<std::size_t> named_, spoken_for_;  // catchments; spoken for: those with a named part
};

}  // namespace

std::set<std::size_t> name_catchments(const Ui& ui, ImDrawList& list, LabelSpace& space,
                                      std::vector<MapWord>& told) {
  return CatchmentNames(ui, list, space, told).all();
}

}  // namespace brookmark::viewer
