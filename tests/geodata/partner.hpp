// Why: most of what a partner does to a file is a line of SQL, and most of what is asked then is a record, a list or a refusal.
// Use: const Partner p; p.sql({"UPDATE records SET ..."}); accept(p.survey, p.file, {"all"}); p.record(kBaetidae).note
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/base/error.hpp"
#include "core/survey/rows.hpp"
#include "tests/geodata/returned.hpp"
#include "tests/support/files.hpp"

namespace brookmark::test {

inline bool says(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

struct Partner {
  TemporaryFolder folder;
  std::filesystem::path survey = folder / "a.brook", file = folder / "a.gpkg";
  Snapshot before = secret_survey(survey);
  Partner() { hand_over(survey, file); }

  void sql(const std::vector<std::string>& statements) const {
    edit(file, [&](GDALDataset& data) {
      for (const std::string& text : statements) run_sql(data, text);
    });
  }
  // What we change meanwhile.
  void ours(const Edit& change) const {
    SurveyFile::open(survey, Access::kEdit).apply({"ours", "changed here", {change}});
  }
  // The file as it would leave now.
  void hand_over_anew() const {
    std::filesystem::remove(file);
    hand_over(survey, file);
  }
  ChangeList list() const { return compared(survey, file).list; }
  Change change(const std::string& id) const {
    const ChangeList all = list();
    const Change* found = find_change(all, id);
    REQUIRE_MESSAGE(found != nullptr, id);
    return *found;
  }
  Snapshot now() const { return SurveyFile::open(survey, Access::kRead).read(); }
  Record record(const std::string& key) const {
    const Snapshot s = now();
    for (std::size_t i = 0; i < s.records.size(); ++i)
      if (s.records.key[i] == key) return record_row(s, RecordIndex(i));
    FAIL("no record " << key);
    return {};
  }
  Measurement measurement(const std::string& key) const {
    const Snapshot s = now();
    for (std::size_t i = 0; i < s.measurements.size(); ++i)
      if (s.measurements.key[i] == key) return measurement_row(s, i);
    FAIL("no measurement " << key);
    return {};
  }
  std::string refusal(const std::vector<std::string>& words) const {
    try {
      accept(survey, file, words);
    } catch (const Error& error) {
      return error.what();
    }
    return {};
  }
};

inline const std::string kBaetidae = secret_key(300);  // of Q01-2023
inline const std::string kSite = secret_key(10), kVisit = secret_key(100), kSample = secret_key(200);

}  // namespace brookmark::test
