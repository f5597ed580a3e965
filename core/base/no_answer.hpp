// Why: a question can be a good one and have no for its answer ("quality falls nowhere"). Nothing failed and nobody asked wrongly, and
// what the caller has to say is a sentence, as with an error.
// Use: throw AnswerIsNo("quality falls between no two neighbours, so there is nothing to narrow down");
#pragma once

#include "core/base/error.hpp"

namespace brookmark {

class AnswerIsNo : public Error {
 public:
  explicit AnswerIsNo(const std::string& message) : Error(ErrorCode::kNotFound, message) {}
};

}  // namespace brookmark
