#define DOCTEST_CONFIG_IMPLEMENT
#include <doctest/doctest.h>

#include <cstdlib>

#include "core/store/survey_file.hpp"
#include "tests/support/files.hpp"

int main(int argc, char** argv) {
  const brookmark::test::TemporaryFolder
      settings;  // so that no test writes into the settings of whoever runs it
  setenv("XDG_CONFIG_HOME", settings.path().c_str(), 1);
  brookmark::core::start_storage();
  doctest::Context context(argc, argv);
  return context.run();
}
