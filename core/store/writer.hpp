// Why: turns the edits of one batch into rows, inside a transaction that the caller holds.
// Use: BatchWriter writer(db, {now, device, new_key});  writer.write(batch.edits);
#pragma once

#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/uuid.hpp"
#include "core/store/edit.hpp"
#include "core/store/sqlite.hpp"

namespace brookmark::core {

// Who made the rows, and when.
struct EditStamp {
  std::string now_utc;
  std::string device;
  KeySource new_key;  // for rows whose key is empty
};

class BatchWriter {
 public:
  BatchWriter(const Database& database, EditStamp stamp);
  ~BatchWriter();

  // Taxa first, parents before children whatever their order in the batch; then the others in their order.
  // Throws Error(kBadInput) at the first row that is refused, naming it.
  void write(std::span<const Edit> edits);

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

// The one row of table survey of a new file.
void write_survey_info(const Database& database, const SurveyInfo& info, const EditStamp& stamp);

// Every statement of this module, so that a test can prepare them all against the newest schema.
std::vector<std::string_view> writer_statements();

}  // namespace brookmark::core
