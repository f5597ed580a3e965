#include <cpl_conv.h>
#include <gdal.h>
#include <ogr_srs_api.h>

#include <mutex>

#include "geodata/vector_input.hpp"

namespace brookmark::geodata {

void start_geodata() {
  static std::once_flag once;
  std::call_once(once, [] {
    GDALAllRegister();
    OSRSetPROJEnableNetwork(0);
    CPLSetConfigOption("GDAL_PAM_ENABLED", "NO");                  // no .aux.xml beside other people's files
    CPLSetConfigOption("GML_DOWNLOAD_SCHEMA", "NO");               // works with the cable out
    CPLSetConfigOption("CPL_VSIL_CURL_ALLOWED_FILENAME", "none");  // nor do mosaics name files on a network
  });
}

std::string geodata_versions() {
  return std::string("GDAL ") + GDALVersionInfo("RELEASE_NAME");
}

}  // namespace brookmark::geodata
