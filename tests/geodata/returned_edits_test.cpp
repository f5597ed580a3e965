// What a partner may do to a file without meaning harm, and what must come of it.
#include <doctest/doctest.h>

#include "core/taxa/checklist.hpp"
#include "tests/geodata/partner.hpp"

using namespace brookmark::test;  // NOLINT: many words of the trade in one place

TEST_CASE("a corrected name goes through the checklist, and what was noted stays in the note") {
  const Partner p;
  p.sql({"UPDATE records SET verbatim_name = 'Simulium', note = 'looked again' WHERE uuid = '" + kBaetidae +
         "'"});
  const ChangeList list = p.list();
  const Change* change = find_change(list, "records/" + kBaetidae + "/verbatim_name");
  REQUIRE(change != nullptr);
  CHECK(change->state == ChangeState::kTheirs);
  CHECK(says(change->note, "\"Simulium\" is taken as Simulium"));
  CHECK(says(change->note, "Baetidae"));
  accept(p.survey, p.file, {"all"});
  const Record record = p.record(kBaetidae);
  CHECK(record.verbatim_name == "Simulium");
  CHECK(record.taxon_key == checklist().match("Simulium").lineage.front().key);
  CHECK(record.match == NameMatch::kAccepted);
  CHECK(says(record.note, "looked again"));
  CHECK(says(record.note, "was noted as Baetidae"));
  CHECK(record.count_min == 40);
  CHECK(p.list().changes.empty());
}

TEST_CASE(
    "a corrected name that is not in the checklist never scores, and one that names nothing is refused") {
  const Partner p;
  p.sql({"UPDATE records SET verbatim_name = 'Xyzzyidae' WHERE uuid = '" + kBaetidae + "'",
         "UPDATE records SET verbatim_name = 'none' WHERE uuid = '" + secret_key(301) + "'",
         "UPDATE records SET name_match = 'chosen' WHERE uuid = '" + secret_key(302) + "'"});
  const ChangeList list = p.list();
  REQUIRE(list.changes.size() == 3);
  CHECK(says(list.changes[0].note, "not in the checklist"));
  CHECK(list.changes[1].state == ChangeState::kImpossible);
  CHECK(says(list.changes[1].note, "names no animal"));
  CHECK(list.changes[2].state == ChangeState::kImpossible);
  accept(p.survey, p.file, {"all"});
  const Record record = p.record(kBaetidae);
  CHECK(record.match == NameMatch::kNone);
  CHECK(record.taxon_key == "own:xyzzyidae");
  CHECK(p.record(secret_key(301)).verbatim_name == "Gammaridae");
}

TEST_CASE("another taxon chosen keeps the name as written") {
  const Partner p;
  p.sql({"UPDATE records SET taxon_key = 'checklist:Gammaridae' WHERE uuid = '" + kBaetidae + "'"});
  accept(p.survey, p.file, {"all"});
  const Record record = p.record(kBaetidae);
  CHECK(record.verbatim_name == "Baetidae");
  CHECK(record.taxon_key == "checklist:Gammaridae");
  CHECK(record.match == NameMatch::kChosen);
}

TEST_CASE("a copied record with another name written is that other animal") {
  const Partner p;
  p.sql(
      {"INSERT INTO records (sample_uuid, verbatim_name, taxon_key, quantity_kind, count_min, "
       "count_max, life_stage) VALUES ('" +
       kSample + "', 'Simulium', 'checklist:Baetidae', 'count', 3, 3, 'unknown')"});
  const ChangeList list = p.list();
  REQUIRE(list.changes.size() == 1);
  CHECK_MESSAGE(list.changes[0].state == ChangeState::kTheirs, list.changes[0].note);
  accept(p.survey, p.file, {"all"});
  const Snapshot s = p.now();
  CHECK(s.records.size() == p.before.records.size() + 1);
  for (std::size_t i = 0; i < s.records.size(); ++i)
    if (s.records.verbatim_name[i] == "Simulium")
      CHECK(s.taxa.name[s.records.taxon[i].value()] == "Simulium");
  CHECK(p.list().changes.empty());
}

TEST_CASE("a code that is taken is a conflict told in the list, and does not hold up the others") {
  const Partner p;
  p.sql({"INSERT INTO sites (code, water_kind, status) VALUES ('Q03', 'stream', 'active')",
         "INSERT INTO sites (code, water_kind, status) VALUES ('NEW1', 'stream', 'active')",
         "INSERT INTO sites (code, water_kind, status) VALUES ('NEW1', 'pond', 'active')",
         "UPDATE sites SET code = 'Q04' WHERE code = 'Q01'",
         "UPDATE sites SET name = 'Bridge' WHERE code = 'Q03' AND uuid IS NOT NULL"});
  std::size_t taken = 0, refused = 0;
  for (const Change& change : p.list().changes) {
    if (change.state == ChangeState::kTheirs) ++taken;
    if (change.state != ChangeState::kImpossible) continue;
    ++refused;
    CHECK(says(change.note, "already has the code"));
  }
  CHECK(taken == 2);
  CHECK(refused == 3);
  accept(p.survey, p.file, {"all"});
  CHECK(p.now().find_site("NEW1").has_value());
  // Taken once, it is known again.
  for (const Change& change : p.list().changes) CHECK(change.state == ChangeState::kImpossible);
  CHECK(p.list().changes.size() == 3);
  CHECK(p.now().sites.size() == p.before.sites.size() + 1);
}

TEST_CASE("what a row cannot hold is told in the list, what is right together is taken together") {
  const Partner p;
  const std::string other = secret_key(301), third = secret_key(302);
  p.sql({"UPDATE records SET count_min = 7 WHERE uuid = '" + kBaetidae + "'",
         "UPDATE records SET count_min = 9, count_max = 9 WHERE uuid = '" + other + "'",
         "UPDATE records SET certainty = 2 WHERE uuid = '" + third + "'",
         "UPDATE samples SET effort_unit = NULL, subsample_share = 3, protocol = 'sweep' WHERE uuid = '" +
             kSample + "'",
         "UPDATE visits SET site_uuid = 'nowhere' WHERE uuid = '" + kVisit + "'",
         "UPDATE outfalls SET since = '2024-02-02', until = '2023-01-01'"});
  const ChangeList list = p.list();
  const auto state = [&](const std::string& id) {
    const Change* change = find_change(list, id);
    REQUIRE_MESSAGE(change != nullptr, id);
    return change->state;
  };
  CHECK(state("records/" + kBaetidae + "/count_min") == ChangeState::kImpossible);
  CHECK(says(find_change(list, "records/" + kBaetidae + "/count_min")->note, "a count is one whole number"));
  CHECK(state("records/" + other + "/count_min") == ChangeState::kTheirs);
  CHECK(state("records/" + third + "/certainty") == ChangeState::kImpossible);
  CHECK(state("samples/" + kSample + "/effort_unit") == ChangeState::kImpossible);
  CHECK(state("samples/" + kSample + "/subsample_share") == ChangeState::kImpossible);
  CHECK(state("samples/" + kSample + "/protocol") == ChangeState::kTheirs);
  CHECK(state("visits/" + kVisit + "/site_uuid") == ChangeState::kImpossible);
  CHECK(state("outfalls/" + secret_key(50) + "/until") == ChangeState::kImpossible);
  CHECK(state("outfalls/" + secret_key(50) + "/since") == ChangeState::kImpossible);
  CHECK(p.refusal({"all"}).empty());
  CHECK(p.record(other).count_min == 9);
  CHECK(p.record(kBaetidae).count_min == 40);
}

TEST_CASE("one half of a pair of cells is refused with a sentence, not with that of the file") {
  const Partner p;
  p.sql({"UPDATE records SET count_min = 9, count_max = 9 WHERE uuid = '" + kBaetidae + "'"});
  CHECK(says(p.refusal({"records/" + kBaetidae + "/count_min"}), "a count is one whole number"));
  CHECK(p.record(kBaetidae).count_min == 40);
}

TEST_CASE("a site that owns rows is not removed, with its code and what still belongs to it") {
  const Partner p;
  p.sql({"DELETE FROM sites WHERE code = 'Q01'"});
  const ChangeList list = p.list();
  REQUIRE(list.changes.size() == 1);
  CHECK(says(list.changes[0].note, "2 visits still belong to it"));
  const std::string sentence = p.refusal({"sites/" + kSite});
  CHECK(says(sentence, "site \"Q01\" cannot be removed while 2 visits still belong to it"));
  CHECK_FALSE(says(sentence, kSite));
  // With all that belongs to it it goes.
  p.sql({"DELETE FROM records WHERE sample LIKE 'Q01-%'", "DELETE FROM measurements WHERE site = 'Q01'",
         "DELETE FROM samples WHERE site = 'Q01'", "DELETE FROM visits WHERE site = 'Q01'"});
  CHECK(p.refusal({"sites", "visits", "samples", "records", "measurements"}).empty());
  CHECK_FALSE(p.now().find_site("Q01").has_value());
}

TEST_CASE("one bad shape is told with its row, and the other rows are taken") {
  const Partner p;
  p.sql({"DROP TRIGGER rtree_sites_geom_update1", "DROP TRIGGER rtree_sites_geom_update2",
         "DROP TRIGGER IF EXISTS rtree_sites_geom_update3", "DROP TRIGGER IF EXISTS rtree_sites_geom_update4",
         "UPDATE sites SET geom = x'47500001E610000001' WHERE code = 'Q01'",
         "UPDATE sites SET name = 'Bridge' WHERE code = 'Q03'"});
  const ChangeList list = p.list();
  REQUIRE(list.changes.size() == 2);
  const Change* bad = find_change(list, "sites/" + kSite + "/geom");
  REQUIRE(bad != nullptr);
  CHECK(bad->code == "Q01");
  CHECK(bad->state == ChangeState::kImpossible);
  CHECK(says(bad->note, "cannot be read"));
  accept(p.survey, p.file, {"all"});
  const Snapshot s = p.now();
  CHECK(s.sites.name[s.find_site("Q03")->value()] == "Bridge");
  CHECK(is_placed(s.sites.position[s.find_site("Q01")->value()]));
}

TEST_CASE("what was hidden and has been replaced by theirs is not asked again") {
  const Partner p;
  p.sql({"UPDATE visits SET people = 'Dee Dyer' WHERE uuid = '" + kVisit + "'"});
  REQUIRE(p.list().changes.size() == 1);
  CHECK(p.list().changes[0].state == ChangeState::kAskFirst);
  accept(p.survey, p.file, {"visits/" + kVisit});
  CHECK(p.list().changes.empty());
}

TEST_CASE("edits of what is worked out are counted with their columns, or sent to where they belong") {
  const Partner p;
  CHECK(p.list().notes.empty());
  p.sql({"UPDATE scores SET value = 99 WHERE rowid = 1",
         "UPDATE taxa SET name = 'Nonsense' WHERE name = 'Baetidae'", "UPDATE sites SET class = 'perfect'",
         "UPDATE samples SET people = 'Dee Dyer' WHERE uuid = '" + kSample + "'"});
  const ChangeList list = p.list();
  REQUIRE(list.notes.size() == 1);
  CHECK(says(list.notes[0], "edits in worked-out columns are not taken"));
  for (const char* column : {"scores.value", "taxa.name", "sites.class"}) CHECK(says(list.notes[0], column));
  REQUIRE(list.changes.size() == 1);
  CHECK(list.changes[0].state == ChangeState::kImpossible);
  CHECK(says(list.changes[0].note, "change visits.people"));
  CHECK(says(list.changes[0].note, kVisit));
  CHECK(p.refusal({"all"}).empty());
}

TEST_CASE("a taxon corrected by its name is chosen, and keeps the name as written") {
  const Partner p;
  p.sql({"UPDATE records SET taxon = 'Simulium' WHERE uuid = '" + kBaetidae + "'",
         "UPDATE records SET taxon = 'Xyzzyidae' WHERE uuid = '" + secret_key(301) + "'",
         "UPDATE records SET taxon = 'Simulium', verbatim_name = 'Simulium' WHERE uuid = '" +
             secret_key(302) + "'"});
  const ChangeList list = p.list();
  REQUIRE(list.changes.size() == 3);
  const Change* wrong = find_change(list, "records/" + secret_key(301) + "/taxon");
  REQUIRE(wrong != nullptr);
  CHECK(wrong->state == ChangeState::kImpossible);
  accept(p.survey, p.file, {"all"});
  const Record record = p.record(kBaetidae);
  CHECK(record.verbatim_name == "Baetidae");
  CHECK(record.taxon_key == checklist().match("Simulium").lineage.front().key);
  CHECK(record.match == NameMatch::kChosen);
  CHECK(p.record(secret_key(302)).match == NameMatch::kAccepted);
  CHECK(p.list().changes.size() == 1);
}

namespace {

std::string date_of(const Snapshot& s, const std::string& visit) {
  for (std::size_t v = 0; v < s.visits.size(); ++v)
    if (s.visits.key[v] == visit) return format_date(s.visits.start[v].date);
  return "no such visit";
}

}  // namespace

TEST_CASE("a day typed beside a sample is taken as its visit's, in one edit that one undo takes back") {
  const Partner p;
  const std::string before = date_of(p.now(), kVisit);
  p.sql({"UPDATE samples SET date = '2023-05-05', local_time = '14:20' WHERE uuid = '" + kSample + "'"});
  const ChangeList list = p.list();
  REQUIRE(list.changes.size() == 2);
  for (const Change& change : list.changes) {
    CHECK(change.state == ChangeState::kTheirs);
    CHECK(change.visit == kVisit);
    CHECK(says(change.note, "1 more measurement would go with it"));
  }
  CHECK(find_change(list, "samples/" + kSample + "/date")->base == before);
  accept(p.survey, p.file, {"all"});
  CHECK(date_of(p.now(), kVisit) == "2023-05-05");
  CHECK(p.list().changes.empty());  // said and done
  SurveyFile::open(p.survey, Access::kEdit).undo();
  CHECK(date_of(p.now(), kVisit) == before);
}

TEST_CASE("a day typed beside a sample waits where another sample of the visit says otherwise") {
  const Partner p;
  Sample second;
  second.key = secret_key(260);
  second.code = "Q01-2023-b";
  second.visit_key = kVisit;
  SurveyFile::open(p.survey, Access::kEdit).apply({"add", "a second sample", {AddSample{second}}});
  std::filesystem::remove(p.file);
  hand_over(p.survey, p.file);
  const std::string before = date_of(p.now(), kVisit), id = "samples/" + kSample + "/date",
                    other = "samples/" + second.key + "/date";
  p.sql({"UPDATE samples SET date = '2023-05-05' WHERE uuid = '" + kSample + "'"});
  const ChangeList one = p.list();
  REQUIRE(one.changes.size() == 1);
  CHECK(one.changes[0].state == ChangeState::kAskFirst);
  CHECK(says(one.changes[0].note, "sample Q01-2023-b of the same visit says " + before));
  accept(p.survey, p.file, {"all"});
  CHECK(date_of(p.now(), kVisit) == before);

  // The other one says a third day: both by name cannot be.
  p.sql({"UPDATE samples SET date = '2023-05-06' WHERE uuid = '" + second.key + "'"});
  CHECK(p.list().changes.size() == 2);
  CHECK(says(p.refusal({id, other}), "two values of date"));
  CHECK(date_of(p.now(), kVisit) == before);

  // Both the same: theirs, and one edit.
  p.sql({"UPDATE samples SET date = '2023-05-05' WHERE uuid = '" + second.key + "'"});
  for (const Change& change : p.list().changes) CHECK(change.state == ChangeState::kTheirs);
  accept(p.survey, p.file, {"all"});
  CHECK(date_of(p.now(), kVisit) == "2023-05-05");
}

TEST_CASE("a day typed beside a sample is compared three ways, and with what the visit's own row says") {
  const Partner p;
  const std::string id = "samples/" + kSample + "/date";
  p.sql({"UPDATE samples SET date = '2023-05-05' WHERE uuid = '" + kSample + "'"});
  {
    SurveyFile file = SurveyFile::open(p.survey, Access::kEdit);
    const Snapshot s = file.read();
    for (std::size_t v = 0; v < s.visits.size(); ++v)
      if (s.visits.key[v] == kVisit) {
        Visit visit = visit_row(s, VisitIndex(v));
        visit.start.date = *parse_date("2023-06-06");
        file.apply({"visit", "another day", {Replace<Visit>{visit}}});
      }
  }
  const ChangeList both = p.list();
  REQUIRE(find_change(both, id) != nullptr);
  CHECK(find_change(both, id)->state == ChangeState::kConflict);
  CHECK(find_change(both, id)->ours == "2023-06-06");
  // Said in both places alike it is one change, the visit's; said differently it is none.
  p.sql({"UPDATE visits SET date = '2023-05-05' WHERE uuid = '" + kVisit + "'"});
  CHECK(find_change(p.list(), id) == nullptr);
  CHECK(find_change(p.list(), "visits/" + kVisit + "/date") != nullptr);
  p.sql({"UPDATE visits SET date = '2023-07-07' WHERE uuid = '" + kVisit + "'"});
  REQUIRE(find_change(p.list(), id) != nullptr);
  CHECK(find_change(p.list(), id)->state == ChangeState::kImpossible);
  CHECK(says(find_change(p.list(), id)->note, "make them agree"));
}

TEST_CASE("a day that is none, and a sample that was moved to another visit, are told") {
  const Partner p;
  p.sql({"UPDATE samples SET date = 'yesterday' WHERE uuid = '" + kSample + "'"});
  const ChangeList list = p.list();
  REQUIRE(list.changes.size() == 1);
  CHECK(list.changes[0].state == ChangeState::kImpossible);
  CHECK(p.refusal({"all"}).empty());
  p.sql({"UPDATE samples SET date = '2023-05-05', visit_uuid = '" + secret_key(101) + "' WHERE uuid = '" +
         kSample + "'"});
  const ChangeList moved = p.list();
  const Change* day = find_change(moved, "samples/" + kSample + "/date");
  REQUIRE(day != nullptr);
  CHECK(day->state == ChangeState::kImpossible);
  CHECK(says(day->note, "its visit was changed too"));
}

TEST_CASE(
    "a day in the future is refused wherever a partner writes it: on a visit, beside a sample, on a new "
    "visit") {
  const Partner p;
  p.sql({"UPDATE samples SET date = '2999-05-05' WHERE uuid = '" + kSample + "'"});
  const ChangeList beside = p.list();
  REQUIRE(beside.changes.size() == 1);
  CHECK(beside.changes[0].state == ChangeState::kImpossible);
  CHECK(says(beside.changes[0].note, "The date 2999-05-05 is in the future"));
  const Partner q;
  const std::string id = "visits/" + kVisit + "/date";
  q.sql({"UPDATE visits SET date = '2999-05-05' WHERE uuid = '" + kVisit + "'",
         "UPDATE visits SET people = 'A. Nother' WHERE uuid = '" + kVisit + "'",
         "INSERT INTO visits (site_uuid, date) SELECT site_uuid, '2999-06-06' FROM visits WHERE uuid = '" +
             kVisit + "'"});
  const ChangeList list = q.list();
  REQUIRE(find_change(list, id) != nullptr);
  CHECK(find_change(list, id)->state == ChangeState::kImpossible);
  CHECK(says(find_change(list, id)->note, "is in the future (no clock on earth is past "));
  CHECK(says(q.refusal({id}), "is in the future"));
  std::size_t added = 0;
  for (const Change& change : list.changes)
    if (change.kind == ChangeKind::kAdded) {
      ++added;
      CHECK(change.state == ChangeState::kImpossible);
      CHECK(says(change.note, "The date 2999-06-06 is in the future"));
    }
  CHECK(added == 1);
  // On the last day that a clock may show it can still be taken, on the next it cannot.
  const Partner r;
  r.sql({"UPDATE visits SET date = '2024-05-05' WHERE uuid = '" + kVisit + "'"});
  const Compared c = compared(r.survey, r.file);
  const auto state = [&](const char* latest) {
    return compare_returned(c.snapshot, share(c.snapshot, c.back.file.rules), c.back.file, c.back.place_text,
                            *parse_date(latest))
        .changes.at(0)
        .state;
  };
  CHECK(state("2024-05-05") == ChangeState::kTheirs);
  CHECK(state("2024-05-04") == ChangeState::kImpossible);
}

TEST_CASE("a visit is called by its site and day, and what was taken already is told as such") {
  const Partner p;
  const std::string id = "visits/" + kVisit + "/date";
  const std::string before = date_of(p.now(), kVisit);
  p.sql({"UPDATE visits SET date = '2023-05-05' WHERE uuid = '" + kVisit + "'"});
  const ChangeList list = p.list();
  REQUIRE(find_change(list, id) != nullptr);
  CHECK(find_change(list, id)->code.ends_with(" " + before));
  CHECK(find_change(list, id)->code.size() > before.size() + 1);
  CHECK(list.here.empty());
  accept(p.survey, p.file, {id});
  const ChangeList after = p.list();
  CHECK(after.changes.empty());
  CHECK(after.here == std::vector<std::string>{id});
  CHECK(says(p.refusal({id}), "stands in the survey already, so nothing of it is left to take"));
  CHECK(says(p.refusal({"visits"}), "stands in the survey already"));
  CHECK(says(p.refusal({"visits/nobody"}), "there is no change"));
}

TEST_CASE("two partners who each add a record to their copy of one file have added two") {
  const Partner p;
  const auto other = p.folder / "b.gpkg";
  std::filesystem::copy_file(p.file, other);
  const auto add = [](const std::filesystem::path& file, const std::string& name) {
    edit(file, [&](GDALDataset& data) {
      run_sql(
          data,
          "INSERT INTO records (sample_uuid, verbatim_name, quantity_kind, count_min, count_max, life_stage) "
          "VALUES ('" +
              kSample + "', '" + name + "', 'count', 3, 3, 'unknown')");
    });
  };
  add(p.file, "Simulium");
  add(other, "Leuctra");
  accept(p.survey, p.file, {"all"});
  const ChangeList second = compared(p.survey, other).list;
  REQUIRE(second.changes.size() == 1);
  CHECK(second.changes[0].kind == ChangeKind::kAdded);
  accept(p.survey, other, {"all"});
  const Snapshot now = p.now();
  CHECK(now.records.size() == p.before.records.size() + 2);
  CHECK(p.list().changes.empty());  // neither comes a second time
  CHECK(compared(p.survey, other).list.changes.empty());
}
