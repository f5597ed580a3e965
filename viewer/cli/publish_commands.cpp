#include <ostream>

#include "core/base/text.hpp"
#include "geodata/publish.hpp"
#include "viewer/cli/hand_over_internal.hpp"
#include "viewer/cli/progress_bar.hpp"
#include "viewer/cli/verbs.hpp"

namespace brookmark::viewer {

namespace {

struct PublishCommand {
  std::string database, schema = "brookmark";
  HandOverWords words;
  bool force = false;
};

int run_publish(const std::filesystem::path& survey, const PublishCommand& command, const Console& console) {
  const Session session = open_for(survey, console);
  const auto handed = what_is_handed(session.snapshot, command.words);
  if (command.words.preview) {
    print_hidden(handed->shared, console);
    return kDone;
  }
  ProgressBar bar(console);
  geodata::PublishOptions options;
  options.schema = command.schema;
  options.only = chosen_layers(command.words);
  options.crs = command.words.crs;
  options.licence = command.words.licence;
  options.may_shorten = command.force;
  options.progress = [&](const std::string& layer, double done) { return bar.part(layer, 0, 1)(done); };
  const auto layers = geodata::publish_survey(geodata::source_of(*handed), command.database, options);
  Rows rows{{"layer", "added", "changed", "removed", "unchanged"}, {}};
  std::int64_t written = 0;
  for (const geodata::PublishedLayer& layer : layers) {
    rows.add({text(layer.layer), layer.added, layer.changed, layer.removed, layer.unchanged});
    written += layer.added + layer.changed + layer.removed;
  }
  console.rows(rows);
  const core::Method& method = *handed->method;
  console.err << "published to the schema " << command.schema << ": "
              << (written == 0 ? std::string("nothing has changed since the last time")
                               : std::to_string(written) + (written == 1 ? " row" : " rows") + " written")
              << "; sites by " << handed->assessment.metric_info().title << " (method " << method.id
              << ", confirmed: " << core::confirmed_name(method.confirmed) << ") up to "
              << core::format_date(handed->assessment.until())
              << (handed->shared.snapshot().samples.size() == 0
                      ? "; no sample went out, so no site has a class"
                      : "")
              << '\n';
  if (!handed->shared.hidden().empty()) console.err << "--preview lists what was left out or moved\n";
  return kDone;
}

std::string publish_footer() {
  return "Rows are added or changed by UUID, in one transaction; rows that the survey no longer hands over "
         "are removed, also\n"
         "from layers that --only does not name, and rows of other surveys stay as they are. Every survey of "
         "a "
         "schema has the\n"
         "same coordinate system, method and metric.\n"
         "Keep the password in PGPASSWORD or in ~/.pgpass: words of a command can be seen by others on this "
         "machine.\n"
         "Example: brookmark publish demo.brook \"PG:host=db.example dbname=region user=ann\" --schema "
         "brookmark\n";
}

}  // namespace

void add_publish_verbs(Verbs& verbs) {
  const auto command = std::make_shared<PublishCommand>();
  Verb verb = verbs.add_for_survey(
      "publish", "write or update the survey in a PostgreSQL database with PostGIS",
      [command](const auto& survey, const Console& c) { return run_publish(survey, *command, c); });
  verb.word("DATABASE", command->database, "\"PG:host=... dbname=... user=...\"")
      .required()
      .option("--schema", command->schema, "where the layers stand; default brookmark")
      .flag("--force", command->force, "let --until take away visits that were published before");
  tell_hand_over_options(verb, command->words, "coordinates in EPSG:number; default EPSG:4326");
  verb.footer(publish_footer);
}

}  // namespace brookmark::viewer
