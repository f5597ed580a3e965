#include <ostream>

#include "core/base/no_answer.hpp"
#include "core/base/text.hpp"
#include "geodata/publish.hpp"
#include "viewer/cli/hand_over_internal.hpp"
#include "viewer/cli/progress_bar.hpp"
#include "viewer/cli/verbs.hpp"
#include "viewer/survey_work.hpp"

namespace brookmark::viewer {

namespace {

struct PublishCommand {
  std::string database, schema = "brookmark";
  HandOverWords words;
  bool force = false;
};

// What leaves, a row a layer with what it would do on the server (empty where that is not known), then what stays at home.
void print_preview(const geodata::ExportSource& source, const PublishCommand& command,
                   const geodata::PublishPreview* seen, const Console& console) {
  Rows rows{{"layer", "of", "what", "why", "rows", "added", "changed", "removed", "unchanged"}, {}};
  const auto leaving = geodata::rows_that_leave(source, chosen_layers(command.words));
  const auto add = [&](const std::string& layer, const geodata::PublishedLayer* there) {
    std::vector<Cell> row{text(layer), Cell{}, text("leaves"), Cell{}, Cell{}};
    for (const auto& [name, count] : leaving)
      if (name == layer) row[4] = count;
    for (auto member : {&geodata::PublishedLayer::added, &geodata::PublishedLayer::changed,
                        &geodata::PublishedLayer::removed, &geodata::PublishedLayer::unchanged})
      if (there != nullptr)
        row.emplace_back(there->*member);
      else
        row.emplace_back();
    if (there != nullptr) row[3] = text_or_empty(there->note);
    rows.add(std::move(row));
  };
  if (seen == nullptr)
    for (const auto& [name, count] : leaving) add(name, nullptr);
  else
    for (const geodata::PublishedLayer& layer : seen->layers) add(layer.layer, &layer);
  for (const core::HiddenItem& item : source.shared.hidden())
    rows.add({text(item.layer), text_or_empty(item.code), text(item.what), text(item.why), Cell{}, Cell{},
              Cell{}, Cell{}, Cell{}});
  console.rows(rows);
}

int preview(const core::HandOver& handed, const PublishCommand& command,
            const geodata::PublishOptions& options, const Console& console) {
  const geodata::ExportSource source = geodata::source_of(handed);
  geodata::PublishPreview seen;
  try {
    seen = geodata::preview_publishing(source, command.database, options);
  } catch (const Error&) {
    print_preview(source, command, nullptr, console);
    console.err << "this is what would leave; what it would change on the server is not known:\n";
    throw;
  }
  print_preview(source, command, &seen, console);
  std::int64_t touched = 0;
  for (const geodata::PublishedLayer& layer : seen.layers)
    touched += layer.added + layer.changed + layer.removed;
  console.err << (touched == 0 ? std::string("publishing would change nothing on the server")
                               : "publishing would write or remove " + std::to_string(touched) +
                                     (touched == 1 ? " row" : " rows"))
              << "; nothing was written (--preview)\n";
  if (seen.refused.empty()) return kDone;
  console.err << "as things stand it would be refused: " << seen.refused << '\n';
  return kAnswerIsNo;
}

int run_publish(const std::filesystem::path& survey, const PublishCommand& command, const Console& console) {
  const Session session = open_for(survey, console);
  const auto handed = what_is_handed(session.snapshot, command.words);
  geodata::PublishOptions options;
  options.schema = command.schema;
  options.only = chosen_layers(command.words);
  options.crs = command.words.crs;
  options.licence = command.words.licence;
  options.may_shorten = command.force;
  if (const std::string none = nothing_of_period(session.snapshot, handed->shared); !none.empty())
    throw AnswerIsNo(none);
  if (command.words.preview) return preview(*handed, command, options, console);
  ProgressBar bar(console);
  options.progress = [&](const std::string& layer, double done) { return bar.part(layer, 0, 1)(done); };
  const auto layers = geodata::publish_survey(geodata::source_of(*handed), command.database, options);
  Rows rows{{"layer", "added", "changed", "removed", "unchanged"}, {}};
  std::int64_t written = 0;
  for (const geodata::PublishedLayer& layer : layers) {
    rows.add({text(layer.layer), layer.added, layer.changed, layer.removed, layer.unchanged});
    written += layer.added + layer.changed + layer.removed;
    if (!layer.note.empty()) console.err << "note: " << layer.note << '\n';
  }
  console.rows(rows);
  const core::Method& method = *handed->method;
  console.err << "published to the schema " << command.schema << ": "
              << (written == 0 ? std::string("nothing has changed since the last time")
                               : std::to_string(written) + (written == 1 ? " row" : " rows") + " written")
              << "; sites by " << handed->assessment.metric_info().title << " (method " << method.id
              << ", confirmed: " << core::confirmed_name(method.confirmed) << ") "
              << core::period_words(handed->period())
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
         "--preview also asks the server what would be added, changed and removed there.\n"
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
      .flag("--force", command->force,
            "let --until, --from and --season take away visits that were published before");
  tell_hand_over_options(verb, command->words, "coordinates in EPSG:number; default EPSG:4326");
  verb.footer(publish_footer);
}

}  // namespace brookmark::viewer
