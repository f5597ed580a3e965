// Why: photos come in beside tables and layers; the verb stands with those of import.
#pragma once

namespace brookmark::viewer {

class Verbs;

void add_photo_verb(Verbs& verbs);

}  // namespace brookmark::viewer
