#include "tests/support/files.hpp"

namespace brookmark::test {

std::filesystem::path reference(const std::string& name) {
  return std::filesystem::path(BROOKMARK_TEST_DATA) / name;
}

}  // namespace brookmark::test
