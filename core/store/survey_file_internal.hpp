// Why: tests need older and newer files than this version makes; here the list of migrations is theirs.
// Use: SurveyFile f = open_survey_file(path, Access::kEdit, options, my_migrations);
#pragma once

#include <filesystem>
#include <span>

#include "core/store/migrations.hpp"
#include "core/store/survey_file.hpp"

namespace brookmark::core {

SurveyFile open_survey_file(const std::filesystem::path& path, Access access, const StoreOptions& options,
                            std::span<const Migration> migrations);

}  // namespace brookmark::core
