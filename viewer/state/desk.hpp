// Why: what lies over the map and the pages for a while: a dialog, the find box, the guided look, an errand's
// progress. Plain values, so that each can be opened, filled in and read by a test or a script.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "core/base/index.hpp"
#include "viewer/state/errand.hpp"

namespace brookmark::viewer {

enum class DialogKind : std::uint8_t {
  kNone,
  kStart,  // nothing is open yet: the demo, a new survey, or one to open
  kOpen,
  kNew,
  kImport,
  kHandOver,
  kReport,
  kChanges,  // of a partner, in a GeoPackage that came back
  kPhoto,    // to be added to a site
  kSheet,    // the field sheet of a round of visits
  kSpots     // suggested spots as a file
};

// What is filled in. Changed whole.
struct Dialog {
  DialogKind kind = DialogKind::kNone;
  std::string folder, name;  // of the file, UTF-8
  std::string title, crs;    // of a new survey; crs also of an import
  core::ImportKind import_kind = core::ImportKind::kSites;
  std::map<std::string, std::string> columns;  // theirs -> ours, as chosen by hand
  bool skip_bad = false;
  bool replace = false;  // a file that is already there
  // Of a hand-over: the options of `brookmark export`. Cell and people also of a report.
  std::set<std::string> layers;  // none chosen: all, or the sites where the format holds one layer
  std::string licence, cell = "1 km";
  bool people = true;
  std::set<std::string> taken;      // ids of a partner's changes that are accepted
  std::string site_key, day, note;  // of a photo
  std::string call;                 // of a field sheet: whom to call
  // Of a report: the key of the one site or catchment that it is about; both empty: the survey.
  std::string about_site, about_catchment;
  bool operator==(const Dialog&) const = default;
};

struct Finding {
  bool open = false;
  std::string text;
  std::size_t row = 0;                    // the hit that Enter takes
  std::optional<core::TaxonIndex> taxon;  // chosen: its places are listed
};

// Several sites lie where the map was tapped: one of them is chosen from a list.
struct SpotList {
  std::vector<core::SiteIndex> sites;  // in order of code; empty: no list
  std::size_t row = 0;                 // the one that Enter takes
};

struct DeskState {
  Dialog dialog;
  std::shared_ptr<const IntakePlan> preview;  // of the import dialog as it stands
  std::shared_ptr<const Leaving> leaving;     // by the hand-over or report dialog as it stands
  std::shared_ptr<const ChangePlan> changes;  // of the file in the dialog of changes
  std::shared_ptr<const RoundWish> round;     // of the dialog of a field sheet
  std::string trouble;          // why the dialog's errand failed; empty once something is changed
  std::vector<Errand> errands;  // begun before the next frame
  bool stop_errand = false;
  std::optional<ErrandProgress> running;
  Finding find;
  SpotList spot;
  std::optional<std::size_t> guide;  // step of the guided look
};

}  // namespace brookmark::viewer
