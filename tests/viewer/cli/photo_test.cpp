// The verb `photo`: added, listed, refused.
#include <doctest/doctest.h>

#include <filesystem>

#include "tests/support/files.hpp"
#include "tests/viewer/cli/run_cli.hpp"
#include "viewer/platform/picture.hpp"

namespace brookmark::viewer {
namespace {

using test::run;
using test::run_well;
using test::says;

struct Given {
  test::TemporaryFolder folder, elsewhere;
  std::string survey = (folder / "d.brook").string(), photo = (elsewhere / "mill pond.png").string();
  Given() {
    run_well({"demo", survey});
    write_png({6, 4, std::vector<std::uint8_t>(72, 90)}, photo);
  }
};

}  // namespace

TEST_CASE("a photo is added by the verb, listed with its day, and taken back by undo") {
  const Given g;
  CHECK(run({"photo", g.survey, "Q05"}).code == 1);
  run_well({"photo", g.survey, "Q05", g.photo, "--note", "the pond by the mill"});
  const auto list = run({"photo", g.survey, "Q05", "--format", "csv"});
  CHECK(list.code == 0);
  CHECK(list.out == "site,file,taken,note\nQ05,d-photos/mill pond.png,,the pond by the mill\n");
  CHECK(std::filesystem::exists(g.folder / "d-photos/mill pond.png"));
  run_well({"undo", g.survey});
  CHECK(run({"photo", g.survey, "Q05"}).code == 1);
}

TEST_CASE("a photo in the survey's own folder is named where it lies") {
  const Given g;
  write_png({6, 4, std::vector<std::uint8_t>(72, 20)}, g.folder / "here.png");
  run_well({"photo", g.survey, "Q05", (g.folder / "here.png").string()});
  CHECK(says(run({"photo", g.survey, "Q05", "--format", "csv"}).out, "Q05,here.png,,"));
}

TEST_CASE("a photo of no site, of no picture or of no day is refused with a sentence") {
  const Given g;
  test::write_text(g.elsewhere / "noise.jpg", "no picture");
  CHECK(run({"photo", g.survey, "Z99", g.photo}).code == 2);
  CHECK(run({"photo", g.survey, "Q05", (g.elsewhere / "noise.jpg").string()}).code == 2);
  CHECK(run({"photo", g.survey, "Q05", (g.elsewhere / "none.jpg").string()}).code == 2);
  CHECK(run({"photo", g.survey, "Q05", g.photo, "--taken", "May"}).code == 2);
  CHECK(run({"photo", g.survey, "Q05", "--note", "of nothing"}).code == 2);
  CHECK_FALSE(std::filesystem::exists(g.folder / "d-photos"));
}

}  // namespace brookmark::viewer
