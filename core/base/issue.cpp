#include "core/base/issue.hpp"

namespace brookmark::core {

const char* severity_name(Severity severity) {
  switch (severity) {
    case Severity::kError:
      return "error";
    case Severity::kWarning:
      return "warning";
    case Severity::kNote:
      return "note";
  }
  return "note";
}

}  // namespace brookmark::core
