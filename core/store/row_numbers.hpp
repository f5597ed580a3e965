// Why: rows refer to each other by row number, columns by dense index; half a million look-ups must cost
// nothing.
// Use: RowNumbers sites;  sites.add(17, 0);  ... SiteIndex s(sites.at(17));
#pragma once

#include <cstddef>
#include <cstdint>
#include <unordered_map>
#include <vector>

#include "core/base/error.hpp"

namespace brookmark::core {

// Row number -> index. A plain table while the numbers are dense, a hash table where a file has huge gaps.
class RowNumbers {
 public:
  void add(std::int64_t id, std::size_t index) {
    const auto value = static_cast<std::uint32_t>(index);
    if (id >= 0 && static_cast<std::uint64_t>(id) < 8 * (count_ + 128)) {
      const auto at = static_cast<std::size_t>(id);
      if (at >= dense_.size()) dense_.resize(2 * at + 64, kNone);
      dense_[at] = value;
    } else {
      sparse_.emplace(id, value);
    }
    ++count_;
  }

  // Throws Error(kForeignFile) for a row that is not there: foreign keys were off when the file was changed.
  std::size_t at(std::int64_t id) const {
    if (id >= 0 && static_cast<std::uint64_t>(id) < dense_.size() &&
        dense_[static_cast<std::size_t>(id)] != kNone) {
      return dense_[static_cast<std::size_t>(id)];
    }
    if (const auto found = sparse_.find(id); found != sparse_.end()) return found->second;
    throw Error(ErrorCode::kForeignFile,
                "the survey file is damaged: a row refers to one that is missing; open a copy made earlier");
  }

 private:
  static constexpr std::uint32_t kNone = UINT32_MAX;
  std::vector<std::uint32_t> dense_;
  std::unordered_map<std::int64_t, std::uint32_t> sparse_;
  std::size_t count_ = 0;
};

}  // namespace brookmark::core
