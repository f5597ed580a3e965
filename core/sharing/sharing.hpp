// Why: what leaves the surveyor's hands must give away nothing that it should not. One function turns a survey into the one
// that may leave; every exporter, report and publisher reads that one alone, so none of them can tell what it never had.
// Use: const SharedSurvey shared = share(snapshot, {.cell_m = 1000});
//      shared.snapshot().sites.code[0], shared.places()[0].position, shared.hidden()
//
// The rules (common practice, no source):
// * A withheld site stays at home with all that hangs on it.
// * A blurred site, and a site with a record of any day (other than of absence) of a taxon that is shared blurred only, is told
//   as the middle of a grid cell (blur_grid.hpp), of the larger size where several are asked for. In snapshot() it has NO position,
//   so that no distance, snap, stretch, fall or catchment can be worked out from it; places() has the cell's middle. Its code
//   and those of its samples are replaced by ones made from their keys, for codes follow each other along a stream. Its
//   name, water, habitat, type, raw position and notes stay at home, as do weather, conditions and notes of its visits,
//   samples, records and measurements.
// * A sample with a record of a withheld taxon stays at home as a whole: without that record its scores would be wrong, and
//   with scores alone the record could be worked out. So do its measurements, and its visit where that has no other sample,
//   or a visit without one would stand out. Absences of such a taxon are left out record by record.
// * Names of people leave only where the person agreed; in any other text a name that may not leave is replaced.
// * Any text that names a hidden site (its code, or its name from four letters on) is left out, and a code
//   that does is replaced: free_text_internal.hpp says which texts are read.
// * Of the drawn layers: waters and catchments that would lead to a hidden site stay at home (drawn_fates_internal.hpp), and
//   ends of reaches in its cell are closed where one goes on as the next. It depends on the cell, never on the place in it.
// * Kit, cleaning, live samples, risks, photos, background maps, ground, people and the rules themselves never
//   leave.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/sharing/blur_grid.hpp"
#include "core/survey/period.hpp"
#include "core/survey/snapshot.hpp"

namespace brookmark::core {

struct SharingRules {
  double cell_m = kUsualCellM;     // of blurred sites; kLeastCellM to kMostCellM
  bool people = true;              // false: nobody is named, whoever agreed
  std::optional<Date> until = {};  // visits after this day stay at home
  std::optional<Date> from = {};   // so do those before this one
  SeasonSet seasons =
      {};  // and those of other seasons; their day decides, and on which half of the earth they are
  bool narrowed() const { return from.has_value() || !seasons.all(); }
};

// The days and seasons of which visits leave; `newest` where the rules name no last day.
Period period_of(const SharingRules& rules, Date newest);

// Where a site may be said to be.
struct SharedPlace {
  LonLat position = kUnplaced;  // as noted, or the middle of the cell
  std::optional<double>
      uncertainty_m;  // as noted; blurred: from the middle to the farthest corner, plus what was noted
  bool blurred = false;
  double cell_m = 0;  // the size asked for; only when blurred
};

// One row of the preview: what stays at home, under the survey's own code, and by which rule. Not for the file itself.
struct HiddenItem {
  std::string layer;  // "sites", "samples", "measurements", "waters", "outfalls", ..., "people", "notes"
  std::string code;   // whose
  std::string what;   // "place moved to the middle of a grid cell; told to 1412 m"
  std::string why;    // "the site is blurred"
};

class SharedSurvey {
 public:
  const Snapshot& snapshot() const { return snapshot_; }
  const std::vector<SharedPlace>& places() const { return places_; }  // per site of snapshot()
  const std::vector<HiddenItem>& hidden() const { return hidden_; }
  const SharingRules& rules() const { return rules_; }
  // Keys of visits that nothing but the days and seasons asked for keeps at home: for whoever keeps what left before.
  const std::vector<std::string>& visits_outside() const { return visits_outside_; }

 private:
  friend SharedSurvey share(const Snapshot& snapshot, const SharingRules& rules);
  SharedSurvey() = default;
  Snapshot snapshot_;
  std::vector<SharedPlace> places_;
  std::vector<HiddenItem> hidden_;
  std::vector<std::string> visits_outside_;
  SharingRules rules_;
};

// Throws Error(kBadUse) for a cell size out of range.
SharedSurvey share(const Snapshot& snapshot, const SharingRules& rules = {});

// How a blurred site and its samples are called: "blurred-3f2a91c0", "sample-3f2a91c0" (longer where eight letters of the
// keys are not enough to tell them apart).
inline constexpr std::string_view kBlurredSitePrefix = "blurred-", kBlurredSamplePrefix = "sample-";

}  // namespace brookmark::core
