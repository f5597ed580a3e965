// Why: a survey names the files of its backgrounds; window and command line name and find them alike.
// Use: file.apply(background_edit("hills.tif", map.info(), "", ""));
#pragma once

#include <filesystem>
#include <string>

#include "core/store/edit.hpp"
#include "geodata/basemap/basemap.hpp"

namespace brookmark::viewer {

// Where a layer's file lies: as it is named, or from the folder of the survey.
std::filesystem::path layer_file(const core::BaseLayer& layer, const std::filesystem::path& survey);

// The edit that names a file as a background: with its whole path, and the title given, the file's own, or its name.
core::EditBatch background_edit(const std::filesystem::path& file, const geodata::BasemapInfo& info,
                                const std::string& title, const std::string& attribution);

}  // namespace brookmark::viewer
