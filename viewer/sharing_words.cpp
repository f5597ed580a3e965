#include "viewer/sharing_words.hpp"

namespace brookmark::viewer {

std::string sharing_undone(const core::EditLogEntry& undone) {
  if (undone.kind != kSharingEdit) return {};
  // Its summary says what the rule was: "site Q03: withheld".
  if (undone.summary.ends_with(": open") || undone.summary.ends_with(": named"))
    return "this was a rule of sharing: what it let out stays at home again, but not what left already";
  return "this was a rule of sharing: the next export, report or publishing will tell what it kept at home, "
         "unless "
         "an older rule still does";
}

}  // namespace brookmark::viewer
