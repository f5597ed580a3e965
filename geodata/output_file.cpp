#include "geodata/output_file.hpp"

#include <system_error>

#include "geodata/target_file_internal.hpp"

namespace brookmark::geodata {

namespace fs = std::filesystem;

void expect_not_input(const fs::path& target, const std::vector<fs::path>& inputs) {
  if (target.empty()) return;
  for (const fs::path& input : inputs) {
    std::error_code error;
    if (!input.empty() && fs::equivalent(target, input, error) && !error)
      throw Error(ErrorCode::kBadUse,
                  "this is the file " + input.string() +
                      " that is read here; choose another name for what is written",
                  target.string());
  }
}

void check_output(const fs::path& target, const std::vector<fs::path>& inputs, bool overwrite) {
  expect_not_input(target, inputs);
  const TargetFile usable(target, overwrite);
}

void write_text_file(const fs::path& target, std::string_view text, bool overwrite) {
  TargetFile file(target, overwrite);
  write_whole(file, text);
  file.commit();
}

}  // namespace brookmark::geodata
