#include "viewer/map/background_layer.hpp"

#include <system_error>

namespace brookmark::viewer {

std::filesystem::path layer_file(const core::BaseLayer& layer, const std::filesystem::path& survey) {
  const std::filesystem::path file(layer.file);
  return file.is_absolute() ? file : survey.parent_path() / file;
}

core::EditBatch background_edit(const std::filesystem::path& file, const geodata::BasemapInfo& info,
                                const std::string& title, const std::string& attribution) {
  core::BaseLayer layer;
  std::error_code error;
  const std::filesystem::path whole = std::filesystem::absolute(file, error);
  layer.file = (error ? file : whole).lexically_normal().string();
  layer.title = !title.empty() ? title : !info.title.empty() ? info.title : file.stem().string();
  layer.attribution = !attribution.empty() ? attribution : info.attribution;
  layer.look = info.look;
  return {"add background",
          "lay \"" + layer.title + "\" below the map as " + core::layer_look_name(layer.look),
          {core::AddLayer{layer}}};
}

}  // namespace brookmark::viewer
