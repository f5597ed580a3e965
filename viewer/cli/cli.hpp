// Why: the whole program from the command line, callable from a test: arguments in, text out, an exit code
// back. Exit codes: 0 done, 1 the answer is "no" (findings, nothing found), 2 bad use or bad input, 3
// failure.
#pragma once

#include <iosfwd>

namespace brookmark::viewer {

int run_command_line(int argc, const char* const* argv, std::ostream& out, std::ostream& err);

}  // namespace brookmark::viewer
