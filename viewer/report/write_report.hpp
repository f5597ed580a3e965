// Why: command line and window write the same report: what may leave is worked out first, and nothing else is read after.
// Use: const std::string said = write_report(session, {"report.pdf", method, 0, rules}, {});
#pragma once

#include <filesystem>
#include <memory>
#include <string>

#include "core/scoring/method.hpp"
#include "core/sharing/sharing.hpp"
#include "viewer/session.hpp"
#include "viewer/survey_work.hpp"

namespace brookmark::viewer {

struct ReportWish {
  std::filesystem::path target;  // its ending says the form: .html, .pdf
  std::shared_ptr<const core::Method> method;
  std::size_t metric = 0;
  core::SharingRules rules = {};          // what may leave, and up to which day
  std::string site = {}, catchment = {};  // code or key of one of them, in the survey's own words; empty: all
  bool replace = false;                   // a file that is already there
};

// Whether a report can be written under such a name.
bool is_report_name(const std::filesystem::path& target);

// "wrote report.pdf: ...". Under a temporary name, then renamed; with a fixed clock the same survey gives the same bytes.
// Throws Error: kBadUse (unknown ending, target exists or is no file, a site and a catchment, a site that may not
// leave), kNotFound (no such site or catchment, no sample), and as geodata::write_text_file.
std::string write_report(const Session& session, const ReportWish& wish, const Steps& steps = {});

}  // namespace brookmark::viewer
