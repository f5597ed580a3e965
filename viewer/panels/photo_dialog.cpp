// Adding a photo to a site.
#include "viewer/panels/desk_internal.hpp"
#include "viewer/panels/widgets_internal.hpp"

namespace brookmark::viewer {

void draw_photo_dialog(const Ui& ui) {
  Dialog next = ui.state.desk.dialog;
  if (begin_card(ui, "photo", 40)) ui.push(CloseDialog{});
  std::string whose = "Add a photo";
  const core::SiteColumns& sites = ui.snapshot().sites;
  for (std::size_t i = 0; i < sites.size(); ++i)
    if (sites.key[i] == next.site_key)
      whose +=
          " of " + std::string(sites.code[i]) +
          (sites.name[i].empty() || sites.name[i] == sites.code[i] ? "" : "  " + std::string(sites.name[i]));
  {
    const FontScope font(ui.theme.title);
    wrapped(whose);
  }
  small_muted(ui.theme,
              "JPEG, PNG or WebP. A picture that lies elsewhere is copied into a folder beside the survey.");
  file_picker(ui, next, {".jpg", ".jpeg", ".png", ".webp"}, 8);
  text_field(ui, "Photo", next.name, "name.jpg");
  text_field(ui, "Day it was taken", next.day, "2024-05-03; may be empty");
  text_field(ui, "Words below it", next.note, "may be empty");
  if (next != ui.state.desk.dialog) ui.push(ChangeDialog{next});
  card_foot(ui, "Add the photo", missing_in(ui.state, ui.model));
  end_card(ui);
}

}  // namespace brookmark::viewer
