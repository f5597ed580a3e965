// The verb `report`: what it refuses, and what never gets into what it writes.
#include <doctest/doctest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <filesystem>

#include "tests/support/secret_survey.hpp"
#include "tests/viewer/cli/run_cli.hpp"
#include "tests/viewer/report/public_tools.hpp"
#include "tests/viewer/report/read_page.hpp"

using namespace brookmark::test;

namespace {

std::size_t files_in(const TemporaryFolder& folder) {
  return static_cast<std::size_t>(std::distance(std::filesystem::directory_iterator(folder.path()),
                                                std::filesystem::directory_iterator()));
}

// In a process of its own, so that limits and rights hold there alone. Its exit code; what it said goes to `said`.
template <class Do>
int in_child(const Do& act) {
  const pid_t child = fork();
  if (child == 0) _exit(act());
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

}  // namespace

TEST_CASE(
    "a report is refused with a sentence for an unknown ending, site, catchment, day, method, or a site and "
    "a catchment") {
  const TemporaryFolder folder;
  const std::string file = (folder / "r.html").string();
  const auto refused = [&](std::vector<std::string> more, const std::string& sentence,
                           const std::string& target) {
    std::vector<std::string> words{"report", demo(), target};
    words.insert(words.end(), more.begin(), more.end());
    const Answer answer = run(words);
    CAPTURE(answer.err);
    CHECK(answer.code == 2);
    CHECK(says(answer.err, sentence));
    CHECK(files_in(folder) == 0);
  };
  refused({}, "a report is written as .html or .pdf", (folder / "r.docx").string());
  refused({}, "a report is written as .html or .pdf", (folder / "r").string());
  refused({"--site", "Q99"}, "there is no site \"Q99\"", file);
  refused({"--catchment", "C99"}, "there is no catchment \"C99\"; choose one of C0", file);
  refused({"--catchment", "C4", "--site", "Q04"}, "give one of the two", file);
  refused({"--until", "soon"}, "not a date", file);
  refused({"--method", "none-such"}, "there is no method", file);
  refused({"--blur", "huge"}, "--blur", file);
  refused({}, "is not there; make it first", (folder / "not" / "there" / "r.html").string());
  CHECK(run({"report", demo(), demo()}).code == 2);  // never over the survey itself
}

TEST_CASE("a survey without samples has nothing to report") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "n.brook").string();
  run_well({"new", survey, "--title", "Nothing yet"});
  const Answer answer = run({"report", survey, (folder / "n.pdf").string()});
  CHECK(answer.code == 1);
  CHECK(
      says(answer.err, "this survey has no sample yet, so there is nothing to report; nothing was written"));
  CHECK_FALSE(std::filesystem::exists(folder / "n.pdf"));
}

TEST_CASE("a report that is there is replaced only with --force, and never left half written") {
  const TemporaryFolder folder;
  const std::string file = (folder / "r.pdf").string();
  write_text(file, "mine");
  const Answer answer = run({"report", demo(), file});
  CHECK(answer.code == 2);
  CHECK(says(answer.err, "--force"));
  CHECK(read_text(file) == "mine");
  run_well({"report", demo(), file, "--force"});
  CHECK(read_text(file).starts_with("%PDF-"));

  write_text(file, "mine");
  for (const rlim_t limit : {rlim_t{0}, rlim_t{4096}, rlim_t{60000}}) {
    const int code = in_child([&] {
      std::signal(SIGXFSZ, SIG_IGN);
      const rlimit room{limit, limit};
      if (setrlimit(RLIMIT_FSIZE, &room) != 0) return 99;
      return run({"report", demo(), file, "--force"}).code;
    });
    CHECK(code == 3);
    CHECK(read_text(file) == "mine");
    CHECK(files_in(folder) == 1);
  }
}

TEST_CASE("a folder that may not be written to is said to be so") {
  const TemporaryFolder folder;
  demo();  // made before the rights are given up
  const std::string note = demo().substr(0, demo().rfind('/'));
  std::filesystem::permissions(note, std::filesystem::perms(0755));
  std::filesystem::permissions(folder.path(), std::filesystem::perms(0555));
  const int code = in_child([&] {
    if (geteuid() == 0 && setuid(65534) != 0) return 99;  // root may write anywhere
    return run({"report", demo(), (folder / "r.html").string()}).code;
  });
  CHECK(code == 3);
  std::filesystem::permissions(folder.path(), std::filesystem::perms(0755));
  CHECK(files_in(folder) == 0);
}

TEST_CASE("what may not leave is in no part of a report: words, map, or the file's own data") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "s.brook").string();
  secret_survey(survey);
  setenv("SOURCE_DATE_EPOCH", "1717243200", 1);
  // Ann Archer agreed to be named. Places are looked for in words alone: lines of drawings are full of figures.
  const std::vector<std::string> names{"W01",       "Nameless Spring", "Q02",       "Otter Holt",   "P01",
                                       "Newt Pond", "Hidden Farm",     "Bob Baker", "leaning alder"};
  const std::vector<std::string> places{"50.0153", "50.0312", "50.0111", "30.0312", "30.0507"};
  const auto look = [&](const std::string& text, const std::vector<std::string>& secrets,
                        std::size_t least = 0) {
    for (const std::string& secret : secrets)
      if (secret.size() >= least) CHECK_MESSAGE(!says(text, secret), secret);
  };
  const std::string html = (folder / "r.html").string(), pdf = (folder / "r.pdf").string();
  for (const std::vector<std::string>& more :
       {std::vector<std::string>{}, {"--site", "Q01"}, {"--site", "Q02"}, {"--site", "P01"}}) {
    std::vector<std::string> words{"report", survey, html, "--force"};
    words.insert(words.end(), more.begin(), more.end());
    run_well(words);
    look(read_text(html), names);
    const std::string page = read_text(html);
    look(Page(page).all("html").front()->text, places);
    words[2] = pdf;
    run_well(words);
    const std::string text = tool("pdftotext " + quoted(pdf) + " -").text;
    look(text, names);
    look(text, places);
    look(tool("pdfinfo " + quoted(pdf)).text, names);
    // Shorter ones may stand in a font by chance.
    look(tool("qpdf --qdf --object-streams=disable " + quoted(pdf) + " -").text, names, 6);
  }
  run_well({"report", survey, html, "--force"});
  CHECK(says(read_text(html), "Ann Archer"));
  CHECK(says(read_text(html), "2 catchments are left out: the outlines would show"));
  run_well({"report", survey, html, "--force", "--without", "people"});
  CHECK_FALSE(says(read_text(html), "Ann Archer"));
  const Answer withheld = run({"report", survey, html, "--force", "--site", "W01"});
  CHECK(withheld.code == 2);
  CHECK(says(withheld.err, "is withheld"));
  unsetenv("SOURCE_DATE_EPOCH");
}

TEST_CASE("a report does not change by a byte when a hidden place moves inside its cell") {
  const TemporaryFolder folder;
  setenv("SOURCE_DATE_EPOCH", "1717243200", 1);
  SecretPlaces moved;
  moved.brook.lat += 0.0004;
  moved.pond.lon += 0.0004;
  moved.spring.lat -= 0.0004;
  secret_survey((folder / "a.brook").string());
  secret_survey((folder / "b.brook").string(), moved);
  for (const char* ending : {".html", ".pdf"}) {
    for (const char* name : {"a", "b"})
      run_well({"report", (folder / (std::string(name) + ".brook")).string(),
                (folder / (std::string(name) + ending)).string()});
    CHECK(read_text(folder / (std::string("a") + ending)) == read_text(folder / (std::string("b") + ending)));
  }
  unsetenv("SOURCE_DATE_EPOCH");
}

TEST_CASE("the preview of a report says what the preview of an export says, and writes nothing") {
  const TemporaryFolder folder;
  const std::string survey = (folder / "s.brook").string();
  secret_survey(survey);
  const Answer report =
      run_well({"report", survey, (folder / "r.html").string(), "--preview", "--format", "csv"});
  const Answer exported =
      run_well({"export", survey, (folder / "r.gpkg").string(), "--preview", "--format", "csv"});
  CHECK(report.out == exported.out);
  CHECK_FALSE(std::filesystem::exists(folder / "r.html"));
}
