// Why: terrain and backgrounds open rasters alike: formats of files on this machine only, and a coordinate system as text.
// Use: DatasetPointer data = open_raster(file, kHeightFormats);  std::string crs = crs_of(*data);
#pragma once

#include <filesystem>
#include <span>
#include <string>

#include "geodata/gdal_errors_internal.hpp"

class GDALDataset;

namespace brookmark::geodata {

inline constexpr const char* kHeightFormats[] = {
    "GTiff",    "VRT",     "AAIGrid",  "GRASSASCIIGrid", "ISG",      "EHdr",    "ENVI",      "HFA",
    "SRTMHGT",  "USGSDEM", "DTED",     "SDTS",           "XYZ",      "netCDF",  "HDF5Image", "HDF5",
    "GPKG",     "RST",     "SAGA",     "GSAG",           "GSBG",     "GS7BG",   "AIG",       "GMT",
    "ILWIS",    "BT",      "PNG",      "JP2OpenJPEG",    "PCRaster", "RRASTER", "SIGDEM",    "ZMap",
    "Terragen", "LCP",     "Leveller", "GRIB",           "CTG"};

// A raster with at least one band. Throws what open_local throws, and Error(kBadInput) for one without a band.
DatasetPointer open_raster(const std::filesystem::path& file, std::span<const char* const> formats);
// As WKT; empty where the file does not say it, or says a local system of its own.
std::string crs_of(GDALDataset& dataset);

}  // namespace brookmark::geodata
