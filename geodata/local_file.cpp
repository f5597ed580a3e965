#include "geodata/local_file_internal.hpp"

#include <gdal_priv.h>

#include "core/base/error.hpp"
#include "geodata/sqlite_guard_internal.hpp"

namespace brookmark::geodata {

DatasetPointer open_local(const std::filesystem::path& file, std::span<const char* const> formats,
                          unsigned kind, const char* what) {
  std::error_code error;
  if (!std::filesystem::exists(file, error)) {
    if (error)
      throw Error(ErrorCode::kStorage, "the file cannot be looked at: " + error.message(), file.string());
    throw Error(ErrorCode::kNotFound, "there is no such file; check the name and the folder", file.string());
  }
  CPLStringList drivers;
  for (const char* name : formats)
    if (GetGDALDriverManager()->GetDriverByName(name) != nullptr) drivers.AddString(name);
  refuse_what_runs(file, kind);
  const CarefulSqlite careful;
  const GdalMessages messages;
  // GML writes what it found out about a file beside it unless told not to; the other formats pass the word over.
  const char* const options[] = {"WRITE_GFS=NO", nullptr};
  DatasetPointer dataset(GDALDataset::Open(file.c_str(), kind | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR,
                                           drivers.List(), options));
  if (dataset == nullptr)
    throw Error(
        ErrorCode::kBadInput,
        std::string("this is not ") + what + " that can be read, or it is damaged" + messages.in_brackets(),
        file.string());
  return dataset;
}

}  // namespace brookmark::geodata
