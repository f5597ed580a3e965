#include "geodata/local_file_internal.hpp"

#include <gdal_priv.h>

#include <cctype>
#include <fstream>
#include <string_view>

#include "core/base/error.hpp"
#include "geodata/sqlite_guard_internal.hpp"

namespace brookmark::geodata {

namespace {

// Entities are declared in a document type (XML 1.0, 2.8 and 4.2). No exchange format needs one, and what they stand for may
// be endless or another file, so nothing that declares one is opened. Bytes 0 are passed over: XML may be in UTF-16.
void refuse_document_type(const std::filesystem::path& file) {
  constexpr std::size_t kMostProlog = 1 << 20;
  std::ifstream in(file, std::ios::binary);
  std::string prolog;
  char byte = 0;
  while (prolog.size() < kMostProlog && in.get(byte)) {
    if (byte == '\0') continue;
    prolog += byte;
    const bool is_name = std::isalpha(static_cast<unsigned char>(byte)) != 0 || byte == '_';
    const std::size_t before = prolog.size() - 1;
    if (prolog.size() == 16 && prolog.find('<') == std::string::npos) return;  // no XML
    if (is_name && before > 0 && prolog[before - 1] == '<') {
      // The root, unless it stands in a comment.
      const std::size_t open = prolog.rfind("<!--"), close = prolog.rfind("-->");
      if (open == std::string::npos || (close != std::string::npos && close > open)) return;
    }
    if (std::string_view(prolog).ends_with("<!DOCTYPE"))
      throw Error(ErrorCode::kBadInput,
                  "this file declares a document type (<!DOCTYPE ...>), by which a few bytes may stand for "
                  "other files or "
                  "for more than fits; take that part out if you trust it, or ask for the file without",
                  file.string());
  }
}

}  // namespace

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
  refuse_document_type(file);
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
