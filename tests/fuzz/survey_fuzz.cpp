// A survey file that somebody damaged: a sound one, with the bytes at hand written over it at the places they name (three bytes
// of place, one of length, then so many bytes). It is read or refused with an Error.
#include <algorithm>
#include <cstddef>
#include <cstdint>

#include "core/base/error.hpp"
#include "core/store/survey_file.hpp"
#include "tests/fuzz/fuzz_file.hpp"
#include "tests/support/secret_survey.hpp"

using namespace brookmark::core;  // NOLINT: many words of the trade in one place
using brookmark::test::FuzzFile;

namespace {

const std::string& sound_survey() {
  static const std::string bytes = [] {
    const std::filesystem::path path = brookmark::test::fuzz_folder() / "sound.brook";
    brookmark::test::secret_survey(path);
    std::ifstream in(path, std::ios::binary);
    std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    in.close();
    std::filesystem::remove(path);
    return text;
  }();
  return bytes;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::string bytes = sound_survey();
  for (std::size_t at = 0; at + 4 < size;) {
    const std::size_t place =
        (std::size_t{data[at]} << 16 | std::size_t{data[at + 1]} << 8 | data[at + 2]) % bytes.size();
    const std::size_t length = std::min({std::size_t{data[at + 3]} + 1, size - at - 4, bytes.size() - place});
    std::copy_n(reinterpret_cast<const char*>(data) + at + 4, length,
                bytes.begin() + static_cast<std::ptrdiff_t>(place));
    at += 4 + length;
  }
  const FuzzFile file("a.brook", bytes);
  try {
    const SurveyFile survey = SurveyFile::open(file.path(), Access::kRead);
    const Snapshot snapshot = survey.read();
    survey.log();
  } catch (const brookmark::Error&) {
  }
  return 0;
}
