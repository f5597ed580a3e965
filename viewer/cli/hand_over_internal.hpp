// Why: the verbs that hand a survey over, and that say what may leave, read sizes alike.
#pragma once

#include <string>

namespace brookmark::viewer {

class Verbs;

// "1km", "500m", "500": metres. Throws Error(kBadUse) naming the option.
double cell_size(const std::string& words, const char* option);

void add_share_verbs(Verbs& verbs);

}  // namespace brookmark::viewer
