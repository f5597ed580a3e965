// Why: the page "Clean" in its parts: what is written down there, the round of visits, and both on the map.
#pragma once

#include <span>
#include <string>

#include "viewer/panels/desk_internal.hpp"
#include "viewer/state/going_clean.hpp"

namespace brookmark::viewer {

// What records are made from: the page's waters and history, and this machine's clock.
core::RecordSource record_source(const Ui& ui, const GoingClean& clean);

// Big buttons: use, cleaning, risk, live sample and its end; and the sheet of the one that was tapped.
void draw_clean_tasks(const Ui& ui, const GoingClean& clean);
// The chosen sites, the question, and the plan with kit, cleaning and times.
void draw_round(const Ui& ui, const GoingClean& clean);

// Sites as buttons that show them on the map.
void site_buttons(const Ui& ui, std::span<const core::SiteIndex> sites);
// Buttons that flow over lines; one is drawn as chosen. True when tapped.
class ButtonFlow {
 public:
  explicit ButtonFlow(const Ui& ui) : ui_(ui) {}
  bool button(const std::string& words, bool chosen = false);

 private:
  const Ui& ui_;
  float used_ = 0;
};

}  // namespace brookmark::viewer
