#include <cpl_conv.h>
#include <gdal.h>
#include <ogr_srs_api.h>

#include <mutex>

#include "geodata/vector_input.hpp"

namespace brookmark::geodata {

namespace {

// They answer a description by going to a network. A file of another format may name such a description as its part
// (mosaics do), so that leaving them out of the formats to try is not enough.
constexpr const char* kNetworkFormats[] = {
    "WMS",     "WMTS",      "WCS",        "WFS",           "OAPIF",   "OGCAPI",       "CSW",
    "HTTP",    "PLMOSAIC",  "PLSCENES",   "NGW",           "Elastic", "AmigoCloud",   "Carto",
    "CouchDB", "Cloudant",  "PostgreSQL", "PostGISRaster", "MySQL",   "MSSQLSpatial", "DAAS",
    "EEDA",    "EEDAI",     "STACTA",     "STACIT",        "RDA",     "GEORASTER",    "OCI",
    "ODBC",    "MongoDBv3", "HANA"};

}  // namespace

void start_geodata() {
  static std::once_flag once;
  std::call_once(once, [] {
    GDALAllRegister();
    for (const char* name : kNetworkFormats)
      if (GDALDriverH driver = GDALGetDriverByName(name)) {
        GDALDeregisterDriver(driver);
        GDALDestroyDriver(driver);
      }
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
