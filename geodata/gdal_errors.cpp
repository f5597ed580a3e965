#include <cpl_error.h>
#include <gdal_priv.h>

#include "geodata/gdal_errors_internal.hpp"

namespace brookmark::geodata {

namespace {

constexpr int kMostMessages = 3;  // the first says why, the rest mostly repeat it

void CPL_STDCALL keep_message(CPLErr severity, CPLErrorNum, const char* message) {
  auto* messages = static_cast<GdalMessages*>(CPLGetErrorHandlerUserData());
  if (messages == nullptr) return;
  try {
    messages->add(severity >= CE_Failure, message);
  } catch (...) {  // out of memory for a message: nothing may be thrown through GDAL's C code
  }
}

}  // namespace

void CloseDataset::operator()(GDALDataset* dataset) const {
  GDALClose(dataset);
}

GdalMessages::GdalMessages() {
  CPLErrorReset();
  CPLPushErrorHandlerEx(keep_message, this);
}

GdalMessages::~GdalMessages() {
  CPLPopErrorHandler();
}

void GdalMessages::add(bool is_error, const char* message) {
  if (!is_error) return;
  failed_ = true;
  const std::string said = message;
  if (kept_ == kMostMessages || text_.find(said) != std::string::npos) return;
  text_ += (text_.empty() ? "" : "; ") + said;
  ++kept_;
}

std::string GdalMessages::in_brackets() const {
  return text_.empty() ? "" : " (GDAL says: " + text_ + ")";
}

}  // namespace brookmark::geodata
