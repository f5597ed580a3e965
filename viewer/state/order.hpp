// Why: actions are pure; what they want of the survey file is a value that waits in the state until the session's
// keeper has carried it out. So every edit can be tested without a file, and is done in one place.
// Use: state.orders.push_back({.batch = {"move site", "S07 moved by 12 m", {MoveSite{...}}}});
#pragma once

#include <cstdint>
#include <string>

#include "core/store/edit.hpp"

namespace brookmark::viewer {

struct Order {
  enum class What : std::uint8_t {
    kStore,   // apply the batch
    kUndo,    // take back the newest edit that still stands
    kRedo,    // do again the edit that was taken back last
    kReread,  // read what the file holds now
  };
  What what = What::kStore;
  core::EditBatch batch = {};
  // false: the map and the pages follow later, with the next order that says true. For what comes many times a
  // minute, like a tally.
  bool reread = true;
  bool of_map = false;    // of a tool that changes the map, which is put down once this is stored
  bool of_sheet = false;  // of the sheet of a visit, which holds its own rows
};

// A sentence for the person at the window. Trouble stays until it is put away.
struct Message {
  enum class Kind : std::uint8_t { kDone, kTrouble };
  Kind kind = Kind::kDone;
  std::string text;
};

}  // namespace brookmark::viewer
