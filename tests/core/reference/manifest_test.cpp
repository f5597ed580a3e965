// No published number changes unseen: core/reference/manifest.csv holds rows, bytes and a checksum of every
// table. After a wanted change, write it anew, look at the difference, and build again:
//   BROOKMARK_WRITE_MANIFEST=1 build/tests/core_tests --test-case="*manifest*"
#include <doctest/doctest.h>

#include <cstdint>
#include <cstdlib>
#include <string>
#include <string_view>

#include "core/base/csv.hpp"
#include "core/base/embedded.hpp"
#include "core/reference/reference.hpp"
#include "tests/support/files.hpp"

using brookmark::core::csv_cell;
using brookmark::core::embedded_reference;
using brookmark::core::EmbeddedText;
using brookmark::core::read_csv;
using brookmark::core::reference_file;

namespace {

constexpr std::string_view kManifest = "manifest.csv";

// FNV-1a, 64 bit (Fowler, Noll and Vo; IETF draft-eastlake-fnv, offset basis and prime as there), as 16 hex
// digits.
std::string fnv1a64(std::string_view text) {
  std::uint64_t hash = 0xcbf29ce484222325ULL;
  for (const char c : text) {
    hash ^= static_cast<unsigned char>(c);
    hash *= 0x100000001b3ULL;
  }
  std::string hex;
  for (int shift = 60; shift >= 0; shift -= 4) hex += "0123456789abcdef"[(hash >> shift) & 15U];
  return hex;
}

std::string manifest_as_it_should_be() {
  std::string text = "file,rows,bytes,fnv1a64\n";
  for (const EmbeddedText& file : embedded_reference()) {
    if (file.name == kManifest) continue;
    const std::size_t rows = read_csv(file.text, std::string(file.name)).rows.size();
    text += csv_cell(file.name) + "," + std::to_string(rows) + "," + std::to_string(file.text.size()) + "," +
            fnv1a64(file.text) + "\n";
  }
  return text;
}

}  // namespace

// Test vectors of the FNV draft: "" and "foobar".
TEST_CASE("the checksum of the manifest is FNV-1a") {
  CHECK(fnv1a64("") == "cbf29ce484222325");
  CHECK(fnv1a64("foobar") == "85944171f73967e8");
}

TEST_CASE("the manifest of the reference tables is right") {
  const std::string wanted = manifest_as_it_should_be();
  if (std::getenv("BROOKMARK_WRITE_MANIFEST") != nullptr) {
    const auto folder = brookmark::test::reference("../../core/reference").lexically_normal();
    brookmark::test::write_text(folder / kManifest, wanted);
    MESSAGE("the manifest was written; look at the difference, then build again");
    return;
  }
  INFO(
      "a reference table changed. If that was wanted, run BROOKMARK_WRITE_MANIFEST=1 build/tests/core_tests "
      "--test-case=\"*manifest*\", look at the difference of core/reference/manifest.csv, and build again.");
  CHECK(reference_file(kManifest) == wanted);
}
