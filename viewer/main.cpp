#include <iostream>

#include "viewer/cli/cli.hpp"

int main(int argc, char** argv) {
  return brookmark::viewer::run_command_line(argc, argv, std::cout, std::cerr);
}
