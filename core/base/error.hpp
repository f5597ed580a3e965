// Why: one exception type for every failure, carrying enough to print a sentence that helps.
// Use: throw Error(ErrorCode::kBadInput, "the file has no header line", "sites.csv");
// Expected outcomes (a bad row, no path) are values, not exceptions: see issue.hpp.
#pragma once

#include <stdexcept>
#include <string>

namespace brookmark {

enum class ErrorCode {
  kBadUse,       // the caller asked for something that does not exist or does not fit
  kBadInput,     // a file or value from outside is wrong
  kNotFound,     // a file, site, sample, method that is not there
  kReadOnly,     // an edit on something that cannot be written
  kForeignFile,  // not a survey file, or a damaged one
  kNewerFile,    // a survey file from a newer version
  kLocked,       // another program is writing
  kNoSpace,      // the disk is full
  kStorage,      // any other failure of disk or database
};

class Error : public std::runtime_error {
 public:
  // `message` is a sentence for a person; `where` names file, table or row and may be empty.
  Error(ErrorCode code, const std::string& message, const std::string& where = {})
      : std::runtime_error(where.empty() ? message : where + ": " + message), code_(code) {}

  ErrorCode code() const { return code_; }

 private:
  ErrorCode code_;
};

}  // namespace brookmark
