// Why: an answer must never replace what it was made from, nor half of it stand where a whole file stood.
// Use: check_output("out.csv", {survey, input}, force);  ...  write_text_file("out.csv", text, force);
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace brookmark::geodata {

// Throws Error(kBadUse) where `target` is one of `inputs`, by whatever name or link; an empty path is none.
void expect_not_input(const std::filesystem::path& target, const std::vector<std::filesystem::path>& inputs);

// Throws now what writing there would throw later: as expect_not_input; kBadUse (target exists and is not to be
// replaced, is a folder or no plain file at all, has no folder), kReadOnly, kLocked.
void check_output(const std::filesystem::path& target, const std::vector<std::filesystem::path>& inputs,
                  bool overwrite);

// Under a temporary name beside the target, then renamed: the target is whole or untouched. Throws as check_output
// does, and kNoSpace, kStorage.
void write_text_file(const std::filesystem::path& target, std::string_view text, bool overwrite);

// The time given, else, where it is empty, as ExportOptions::clock_utc says.
std::string time_of_export(const std::string& clock_utc = {});

}  // namespace brookmark::geodata
