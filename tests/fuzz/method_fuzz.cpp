// A surveyor's own method: descriptor, scores, bands and weights one after the other, a line of "%%" between. It is loaded or
// refused with an Error; every fault is told without one; and what is loaded scores a survey.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

#include "core/base/error.hpp"
#include "core/scoring/method.hpp"
#include "core/scoring/score.hpp"
#include "tests/fuzz/fuzz_file.hpp"

using namespace brookmark::core;  // NOLINT: many words of the trade in one place
using brookmark::test::FuzzFile;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  std::vector<std::string_view> parts;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t cut = std::min(text.find("\n%%\n", at), text.size());
    parts.push_back(text.substr(at, cut - at));
    at = cut + 4;
  }
  parts.resize(4);
  const FuzzFile descriptor("own.method.csv", parts[0]), scores("own.scores.csv", parts[1]),
      bands("own.bands.csv", parts[2]), weights("own.weights.csv", parts[3]);
  try {
    check_method_file(descriptor.path());
  } catch (const brookmark::Error&) {
  }
  try {
    const Method method = load_method(descriptor.path());
    static const Snapshot empty;
    score_samples(empty, method);
  } catch (const brookmark::Error&) {
  }
  return 0;
}
