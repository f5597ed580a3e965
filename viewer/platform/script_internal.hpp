// Why: the commands of a script are told in one table, so that the reader, the help and the page about them cannot
// drift apart. Private to viewer/platform.
// Use: for (const ScriptForm& form : script_forms()) ...
#pragma once

#include <span>
#include <string>

#include "core/base/error.hpp"
#include "viewer/platform/script.hpp"

namespace brookmark::viewer {

// Where a step stands, for messages.
struct ScriptPlace {
  const std::string& file;
  std::size_t line;
  [[noreturn]] void refuse(const std::string& sentence, ErrorCode code = ErrorCode::kBadInput) const {
    throw Error(code, sentence, file + ", line " + std::to_string(line));
  }
};

// How many words may follow, a line that shows how, and what it does.
struct ScriptForm {
  const char* name;
  std::size_t least, most;
  const char* example;
  const char* what;
};
std::span<const ScriptForm> script_forms();

double script_number(const std::string& word, const ScriptPlace& at);
// The settings after a line that changes one of them.
Settings script_settings(const ScriptStep& step, Settings settings, const ScriptPlace& at);
// Of a line "season spring autumn", or "season all".
core::SeasonSet script_seasons(const ScriptStep& step, const ScriptPlace& at);
// on, off.
bool script_switch(const std::string& word, const ScriptPlace& at);
core::SiteIndex script_site(const Stage& stage, const std::string& code, const ScriptPlace& at);

// Whether the words of a step can be read; throws Error(kBadInput).
void check_script_step(const ScriptStep& step, const ScriptPlace& at);
// Steps that change the survey: a visit written down, the map put right. False where it is none of them.
bool run_entry_step(const ScriptStep& step, Stage& stage, const ScriptPlace& at);
bool run_edit_step(const ScriptStep& step, Stage& stage, const ScriptPlace& at);
// Steps of a hand on mouse and keys.
bool run_hand_step(const ScriptStep& step, Showing& showing, const ScriptPlace& at);

}  // namespace brookmark::viewer
