// Why: what came back from a partner is compared and taken by the verb of every other import.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "viewer/cli/commands.hpp"

namespace brookmark::viewer {

// Lists the changes, one row each; with `accept` takes those and lists nothing; with `dry_run` says what it would take and
// writes nothing. An exit code: 1 where there is none.
int run_changes(const std::filesystem::path& survey, const std::filesystem::path& file,
                const std::vector<std::string>& accept, bool dry_run, const Console& console);

}  // namespace brookmark::viewer
