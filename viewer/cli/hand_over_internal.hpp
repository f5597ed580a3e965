// Why: the verbs that hand a survey over, as a file or to a server, take the same words and read them alike.
// Use: tell_hand_over_options(verb, command->words, "...");  const auto handed = what_is_handed(snapshot, command->words);
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "core/sharing/hand_over.hpp"
#include "viewer/cli/commands.hpp"

namespace brookmark::viewer {

class Verb;
class Verbs;

struct HandOverWords {
  ScoreOptions score;
  std::string crs = "EPSG:4326", blur, without, licence;
  std::vector<std::string> only;
  bool preview = false;
};

// `words` must live as long as the verb.
void tell_hand_over_options(Verb& verb, HandOverWords& words, const std::string& crs_help);
// Throws Error: kNotFound, kBadUse, kBadInput, as the words ask for what is not there.
std::unique_ptr<const core::HandOver> what_is_handed(const core::Snapshot& snapshot,
                                                     const HandOverWords& words);
std::vector<std::string> chosen_layers(const HandOverWords& words);
// The answer to --preview.
void print_hidden(const core::SharedSurvey& shared, const Console& console);

// What --blur, --without, --until, --from and --season ask for. Throws as above.
core::SharingRules rules_of(const core::Snapshot& snapshot, const ScoreOptions& score,
                            const std::string& blur, const std::string& without);

// "1km", "500m", "500": metres. Throws Error(kBadUse) naming the option.
double cell_size(const std::string& words, const char* option);

void add_share_verbs(Verbs& verbs);
void add_publish_verbs(Verbs& verbs);

}  // namespace brookmark::viewer
