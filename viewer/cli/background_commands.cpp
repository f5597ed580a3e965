// The ground below the map: which files a survey names, and whether they can be drawn.
#include <ostream>

#include "core/base/error.hpp"
#include "core/base/text.hpp"
#include "core/store/survey_file.hpp"
#include "geodata/basemap/basemap.hpp"
#include "viewer/cli/verbs.hpp"
#include "viewer/map/background_layer.hpp"

namespace brookmark::viewer {

namespace {

struct BackgroundCommand {
  std::string file, title, attribution, look, remove;
};

int list_backgrounds(const std::filesystem::path& survey, const Console& console) {
  const Session session = open_for(survey, console);
  const auto centre = session.snapshot.centre().value_or(core::LonLat{});
  Rows rows{{"background", "file", "look", "shown", "attribution", "width", "height", "cell_m", "note"}, {}};
  for (const core::BaseLayer& layer : session.snapshot.layers) {
    Cell width, height, cell;
    std::string thanks = layer.attribution, note;
    try {
      const geodata::Basemap map(layer_file(layer, survey), {.centre = centre, .look = layer.look});
      width = whole(static_cast<std::size_t>(map.info().width));
      height = whole(static_cast<std::size_t>(map.info().height));
      cell = number(map.info().cell_m, 3);
      if (thanks.empty()) thanks = map.info().attribution;
    } catch (const Error& error) {
      note = error.what();
    }
    rows.add({text_or_empty(layer.title), text_or_empty(layer.file),
              std::string(core::layer_look_name(layer.look)), layer.shown, text_or_empty(thanks), width,
              height, cell, text_or_empty(note)});
  }
  console.rows(rows);
  if (!session.snapshot.layers.empty()) return kDone;
  console.err
      << "the survey names no background; lay one below it with `brookmark background SURVEY --add FILE`\n";
  return kAnswerIsNo;
}

int change_backgrounds(const std::filesystem::path& survey, const BackgroundCommand& command,
                       const Console& console) {
  core::SurveyFile file = core::SurveyFile::open(survey, core::Access::kEdit);
  const core::Snapshot snapshot = file.read();
  if (!command.remove.empty()) {
    for (const core::BaseLayer& layer : snapshot.layers)
      if (layer.title == command.remove || layer.file == command.remove) {
        file.apply({"remove background",
                    "no longer lay \"" + layer.title + "\" below the map",
                    {core::Remove{core::TableName::kLayer, layer.key}}});
        console.err << "\"" << layer.title << "\" is no longer named; its file stays where it is\n";
        return kDone;
      }
    throw Error(ErrorCode::kNotFound, "the survey names no background \"" + command.remove + "\"",
                survey.string());
  }
  const auto centre = snapshot.centre().value_or(core::LonLat{});
  geodata::BasemapOptions options{.centre = centre, .look = {}};
  if (command.look == "hillshade") options.look = core::LayerLook::kHillshade;
  if (command.look == "picture") options.look = core::LayerLook::kPicture;
  const geodata::Basemap map(command.file, options);
  core::EditBatch batch = background_edit(command.file, map.info(), command.title, command.attribution);
  file.apply(batch);
  console.err << batch.summary << '\n';
  const geodata::BasemapInfo& info = map.info();
  if (snapshot.centre() &&
      !(info.min_x < 50000 && info.max_x > -50000 && info.min_y < 50000 && info.max_y > -50000))
    console.err << "it lies more than 50 km from the middle of the survey\n";
  return kDone;
}

}  // namespace

void add_background_verbs(Verbs& verbs) {
  const auto command = std::make_shared<BackgroundCommand>();
  verbs
      .add_for_survey("background", "the ground below the map: list, add or remove a raster on this machine",
                      [command](const auto& survey, const Console& c) {
                        if (!command->file.empty() && !command->remove.empty())
                          throw Error(ErrorCode::kBadUse, "either --add or --remove, one at a time");
                        return command->file.empty() && command->remove.empty()
                                   ? list_backgrounds(survey, c)
                                   : change_backgrounds(survey, *command, c);
                      })
      .option("--add", command->file,
              "a raster that GDAL reads: GeoTIFF, MBTiles or GeoPackage tiles, a terrain model ...")
      .option("--title", command->title, "its name in the key; default: the file's own, or its name")
      .option("--attribution", command->attribution, "whom to thank; default: as the file says")
      .option("--look", command->look,
              "hillshade or picture; default: heights are shaded, all else is a picture")
      .choices({"hillshade", "picture"})
      .option("--remove", command->remove, "title or file of one that is named")
      .with_format()
      .footer([] {
        return std::string(
            "The file stays where it is and is only read; the survey keeps its name. Nothing is ever fetched "
            "from a "
            "network.\nLarge files are drawn fast when they are tiled and have overviews (gdaladdo).\n");
      });
}

}  // namespace brookmark::viewer
