#include "viewer/errand_runner.hpp"

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdlib>
#include <mutex>
#include <thread>

#include "core/base/error.hpp"
#include "demo_area/demo.hpp"
#include "geodata/crs_caution.hpp"
#include "geodata/output_file.hpp"
#include "geodata/vector_input.hpp"

namespace brookmark::viewer {
namespace {

std::string file_name(const std::filesystem::path& file) {
  return file.filename().string();
}

std::string title_of(const Errand& errand) {
  struct Title {
    std::string operator()(const OpenErrand& e) const { return "Opening " + file_name(e.survey); }
    std::string operator()(const CreateErrand& e) const { return "Making " + file_name(e.survey); }
    std::string operator()(const DemoErrand&) const { return "Opening the demo"; }
    std::string operator()(const PreviewErrand& e) const { return "Looking into " + file_name(e.wish.file); }
    std::string operator()(const IntakeErrand& e) const { return "Importing into " + file_name(e.survey); }
    std::string operator()(const HandOverErrand& e) const { return "Writing " + file_name(e.wish.target); }
    std::string operator()(const ShareErrand&) const { return "Working out what stays at home"; }
    std::string operator()(const ReadChangesErrand& e) const { return "Looking into " + file_name(e.file); }
    std::string operator()(const TakeChangesErrand& e) const {
      return "Taking changes from " + file_name(e.file);
    }
    std::string operator()(const ReportErrand& e) const { return "Writing " + file_name(e.wish.target); }
    std::string operator()(const PhotoErrand& e) const { return "Adding " + file_name(e.wish.file); }
    std::string operator()(const SheetErrand& e) const { return "Writing " + file_name(e.wish.target); }
    std::string operator()(const SpotsErrand& e) const { return "Writing " + file_name(e.wish.target); }
  };
  return std::visit(Title{}, errand);
}

// Does an errand; every failure becomes a sentence in carry_out below.
struct Work {
  const Steps& steps;

  void tell(const char* what, double done) const {
    if (!steps(what, done)) throw Stopped{};
  }
  Session read(const std::filesystem::path& survey, double from) const {
    tell("Reading the survey", from);
    Session session = open_session(survey);
    tell("Read", 1);
    return session;
  }

  ErrandHome operator()(const OpenErrand& e) const { return {.session = read(e.survey, 0.1)}; }
  ErrandHome operator()(const CreateErrand& e) const {
    tell("Making the file", 0.1);
    create_survey(e.survey, e.title, e.crs);
    return {.sentence = "Made " + e.survey.string() + ".", .session = read(e.survey, 0.5)};
  }
  ErrandHome operator()(const DemoErrand&) const {
    const std::filesystem::path place = demo_place();
    if (!std::filesystem::exists(place)) {
      tell("Making the demo survey", 0.1);
      std::error_code refused;
      if (place.has_parent_path()) std::filesystem::create_directories(place.parent_path(), refused);
      if (refused)
        throw Error(ErrorCode::kReadOnly,
                    "The folder for the demo survey cannot be made: " + refused.message(),
                    place.parent_path().string());
      demo::make_demo_survey(place);
    }
    return {.session = read(place, 0.6)};
  }
  ErrandHome operator()(const PreviewErrand& e) const {
    tell("Reading the survey", 0.05);
    const core::SurveyFile file = core::SurveyFile::open(e.survey, core::Access::kRead);
    return {.preview = std::make_shared<const IntakePlan>(plan_intake(file, file.read(), e.wish, steps))};
  }
  ErrandHome operator()(const IntakeErrand& e) const {
    const core::ImportReport& report = e.plan->report;
    if (!report.ok(e.skip_bad) || report.batch.edits.empty())
      throw Error(ErrorCode::kBadInput, "Nothing of this file can be imported.", e.plan->table.file);
    tell("Storing", 0.1);
    core::SurveyFile file = core::SurveyFile::open(e.survey, core::Access::kEdit);
    file.apply(report.batch);
    std::string sentence = "Imported " + report.batch.summary + ".";
    if (report.bad_rows > 0) sentence += " Bad rows left out: " + std::to_string(report.bad_rows) + ".";
    steps("Reading the survey", 0.6);  // stored: from here on there is nothing to stop
    return {.sentence = sentence, .session = read_session(file)};
  }
  ErrandHome operator()(const HandOverErrand& e) const {
    geodata::check_output(e.wish.target, {e.survey}, e.wish.replace);
    tell("Reading the survey", 0.05);
    return {.sentence = hand_over(open_session(e.survey), e.wish, steps)};
  }
  ErrandHome operator()(const ShareErrand& e) const {
    tell("Reading the survey", 0.05);
    const core::Snapshot snapshot = core::SurveyFile::open(e.survey, core::Access::kRead).read();
    tell("Working out what may leave", 0.5);
    const core::SharedSurvey shared = core::share(snapshot, e.rules);
    Leaving leaving{shared.hidden(), nothing_to_hand_over(snapshot, shared), ""};
    geodata::start_geodata();
    try {
      if (!e.crs.empty()) leaving.crs_said = geodata::crs_caution(e.crs, shared.snapshot());
    } catch (const Error& error) {
      leaving.crs_said = error.what();
    }
    return {.leaving = std::make_shared<const Leaving>(std::move(leaving))};
  }
  ErrandHome operator()(const ReadChangesErrand& e) const {
    tell("Reading the survey", 0.05);
    const core::Snapshot snapshot = core::SurveyFile::open(e.survey, core::Access::kRead).read();
    tell("Comparing", 0.3);
    geodata::start_geodata();
    return {.changes = std::make_shared<const ChangePlan>(plan_changes(snapshot, e.file))};
  }
  ErrandHome operator()(const TakeChangesErrand& e) const {
    tell("Comparing again", 0.1);
    geodata::start_geodata();
    core::SurveyFile file = core::SurveyFile::open(e.survey, core::Access::kEdit);
    const std::string sentence = take_changes(file, e.file, *e.seen, e.ids);
    steps("Reading the survey", 0.7);  // stored: from here on there is nothing to stop
    return {.sentence = sentence, .session = read_session(file)};
  }
  ErrandHome operator()(const ReportErrand& e) const {
    tell("Reading the survey", 0.02);
    std::string sentence = write_report(open_session(e.survey), e.wish, steps);
    sentence[0] = 'W';
    return {.sentence = sentence + "."};
  }
  ErrandHome operator()(const SheetErrand& e) const {
    tell("Reading the survey", 0.1);
    return {.sentence = write_round_sheet(open_session(e.survey), e.wish, steps)};
  }
  ErrandHome operator()(const SpotsErrand& e) const {
    tell("Reading the survey", 0.1);
    return {.sentence = write_spots(open_session(e.survey), e.wish, steps)};
  }
  ErrandHome operator()(const PhotoErrand& e) const {
    tell("Looking at the photo", 0.1);
    core::SurveyFile file = core::SurveyFile::open(e.survey, core::Access::kEdit);
    const std::string sentence = add_photo(file, e.survey, e.wish);
    steps("Reading the survey", 0.7);
    return {.sentence = sentence, .session = read_session(file)};
  }
};

ErrandHome carry_out(const Errand& errand, const Steps& steps) {
  ErrandHome home;
  try {
    return std::visit(Work{steps}, errand);
  } catch (const Stopped&) {
    home.stopped = true;
    home.sentence = "Stopped before anything was written.";
  } catch (const std::bad_alloc&) {
    home.trouble = true;
    home.sentence = "There is not enough memory for this. Nothing was written.";
  } catch (const std::exception& error) {
    home.trouble = true;
    home.sentence = error.what();
  }
  return home;
}

}  // namespace

struct ErrandRunner::Impl {
  std::function<void()> wake;
  mutable std::mutex lock;
  mutable std::condition_variable changed;
  bool running = false;
  ErrandProgress now;
  std::chrono::steady_clock::time_point begun;
  std::optional<ErrandHome> home;
  std::atomic<bool> stop_asked = false;
  std::thread thread;

  void notify() const {
    changed.notify_all();
    if (wake) wake();
  }
  void run(const Errand& errand) {
    const Steps steps = [this](const char* what, double done) {
      {
        const std::lock_guard held(lock);
        now.step = what;
        now.done = done;
      }
      notify();
      return !stop_asked.load();
    };
    ErrandHome brought = carry_out(errand, steps);
    {
      const std::lock_guard held(lock);
      home = std::move(brought);
      running = false;
    }
    notify();
  }
};

ErrandRunner::ErrandRunner(std::function<void()> wake) : impl_(std::make_unique<Impl>()) {
  impl_->wake = std::move(wake);
}

ErrandRunner::~ErrandRunner() {
  stop();
  if (impl_->thread.joinable()) impl_->thread.join();
}

bool ErrandRunner::start(const Errand& errand) {
  Impl& m = *impl_;
  {
    const std::lock_guard held(m.lock);
    if (m.running || m.home) return false;
    m.running = true;
    m.now = {title_of(errand), "", 0, 0, false};
    m.begun = std::chrono::steady_clock::now();
    m.stop_asked = false;
  }
  if (m.thread.joinable()) m.thread.join();  // of the errand before; it has ended
  m.thread = std::thread([&m, errand] { m.run(errand); });
  return true;
}

void ErrandRunner::stop() {
  impl_->stop_asked = true;
  const std::lock_guard held(impl_->lock);
  impl_->now.stopping = impl_->running;
}

std::optional<ErrandProgress> ErrandRunner::progress() const {
  const std::lock_guard held(impl_->lock);
  if (!impl_->running) return std::nullopt;
  ErrandProgress now = impl_->now;
  now.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - impl_->begun).count();
  return now;
}

std::optional<ErrandHome> ErrandRunner::collect() {
  const std::lock_guard held(impl_->lock);
  return std::exchange(impl_->home, std::nullopt);
}

void ErrandRunner::wait() const {
  std::unique_lock held(impl_->lock);
  impl_->changed.wait(held, [this] { return !impl_->running; });
}

std::filesystem::path demo_place() {
  const auto below = [](const char* variable, const std::filesystem::path& rest) -> std::filesystem::path {
    const char* folder = std::getenv(variable);
    if (folder == nullptr || *folder != '/') return {};
    return std::filesystem::path(folder) / rest;
  };
  if (const auto place = below("XDG_DATA_HOME", "brookmark/demo.brook"); !place.empty()) return place;
  if (const auto place = below("HOME", ".local/share/brookmark/demo.brook"); !place.empty()) return place;
  return "demo.brook";
}

}  // namespace brookmark::viewer
