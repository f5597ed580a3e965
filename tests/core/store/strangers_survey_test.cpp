// A survey file that somebody changed by other tools: nothing of theirs runs, neither when it is read nor when it is changed.
#include "tests/core/store/fixture.hpp"

using namespace brookmark::core;
using namespace brookmark::test;
using brookmark::ErrorCode;

namespace {

struct Changed {
  TemporaryFolder folder;
  fs::path path = folder / "a.brook";
  explicit Changed(const std::vector<std::string>& statements) {
    small_survey(path);
    const Database other(path, OpenMode::kReadWrite, 50);
    other.execute("PRAGMA legacy_alter_table = ON");
    for (const std::string& sql : statements) other.execute(sql);
  }
  void refused(Access access, const std::string& sentence) const {
    const std::string before = read_text(path);
    const auto [code, text] = error_of([&] { SurveyFile::open(path, access, fixed_options()).read(); });
    CAPTURE(text);
    CHECK(code == ErrorCode::kForeignFile);
    CHECK(holds(text, sentence));
    CHECK((read_text(path) == before));
  }
};

const char* const kEndless = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) ";

}  // namespace

TEST_CASE(
    "a view, a virtual table or a computed column in place of the survey's own is refused before it is "
    "read") {
  for (const Access access : {Access::kRead, Access::kEdit}) {
    Changed({"ALTER TABLE sample RENAME TO sample_kept",
             "CREATE VIEW sample AS " + std::string(kEndless) + "SELECT s.* FROM sample_kept s, n"})
        .refused(access, "\"sample\" is a view");
    Changed({"ALTER TABLE kit RENAME TO kit_kept", "CREATE VIRTUAL TABLE kit USING rtree(id, a, b)"})
        .refused(access, "\"kit\" is a virtual table");
    Changed({"ALTER TABLE site ADD COLUMN extra TEXT AS (hex(zeroblob(100000000)))"})
        .refused(access, "the column \"extra\" of \"site\" is computed");
    Changed({"CREATE TRIGGER t AFTER INSERT ON site BEGIN DELETE FROM edit_log; END"})
        .refused(access, "the trigger \"t\" would run when \"site\" is changed");
  }
}

TEST_CASE("a view of other tools that nothing of the survey reads harms nobody") {
  const Changed c({"CREATE VIEW sums AS " + std::string(kEndless) + "SELECT sum(i) FROM n"});
  CHECK(SurveyFile::open(c.path, Access::kEdit, fixed_options()).read().sites.size() > 0);
}

TEST_CASE(
    "a trigger under a name of SpatiaLite's that does something else is stopped, and nothing is stored") {
  for (const char* body :
       {"UPDATE survey SET title = 'HACKED'", "DELETE FROM edit_log", "SELECT hex(zeroblob(9))"}) {
    CAPTURE(body);
    const Changed c(
        {"DROP TRIGGER tmi_site_geom",
         "CREATE TRIGGER tmi_site_geom AFTER INSERT ON site BEGIN " + std::string(body) + "; END"});
    const std::string before = dump(c.path);
    const auto [code, text] = error_of([&] {
      SurveyFile file = SurveyFile::open(c.path, Access::kEdit, fixed_options());
      file.apply({"add", "a site", {AddSite{site("stranger", "Z9")}}});
    });
    CAPTURE(text);
    CHECK(code == ErrorCode::kForeignFile);
    CHECK(holds(text, "trigger"));
    CHECK((dump(c.path) == before));
  }
}
