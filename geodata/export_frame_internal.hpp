// Why: coordinates of an export may be asked for in a national grid. Whether that grid is made for where the survey lies is
// known only here, and a file in the wrong one is worse than none.
#pragma once

#include <filesystem>
#include <memory>
#include <string>

#include "core/base/crs.hpp"
#include "core/survey/snapshot.hpp"

class OGRSpatialReference;

namespace brookmark::geodata {

class ExportFrame {
 public:
  // Throws Error: kBadUse (not of the form EPSG:number, or not made for where the survey lies), kBadInput (unknown).
  ExportFrame(const std::string& crs, const core::Snapshot& snapshot, const std::filesystem::path& target);
  ~ExportFrame();
  ExportFrame(const ExportFrame&) = delete;
  ExportFrame& operator=(const ExportFrame&) = delete;

  const std::string& name() const { return name_; }  // "EPSG:25832"
  bool is_wgs84() const { return converter_ == nullptr; }
  const OGRSpatialReference& system() const { return *system_; }  // x before y
  // WGS 84 itself, unchanged, where that is the system. Throws Error(kBadInput) where there is no finite answer.
  core::PlanePoint project(core::LonLat position) const;
  // How exact the conversion is, in words; empty for WGS 84.
  std::string note() const;

 private:
  std::string name_;
  std::unique_ptr<core::CrsConverter> converter_;
  std::unique_ptr<OGRSpatialReference> system_;
};

}  // namespace brookmark::geodata
