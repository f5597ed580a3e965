#define DOCTEST_CONFIG_IMPLEMENT
#include <doctest/doctest.h>

#include "core/store/survey_file.hpp"

int main(int argc, char** argv) {
  brookmark::core::start_storage();
  doctest::Context context(argc, argv);
  return context.run();
}
