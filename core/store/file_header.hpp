// Why: a stranger's file must be told apart before SQLite touches it: opening a database can already change
// it.
// Use: const FileHeader header = read_file_header(path);  if (header.write_ahead) ...
#pragma once

#include <filesystem>

namespace brookmark::core {

struct FileHeader {
  bool write_ahead = false;  // in WAL mode: another program left it so
};

// Throws Error: kNotFound; kForeignFile for anything but a SQLite file with our application_id (SQLite file
// format, section 1.3: the magic text at byte 0, versions at 18 and 19, application_id at 68); kReadOnly when
// it may not be read.
FileHeader read_file_header(const std::filesystem::path& path);

// Whether files may be made in the folder of `path`.
bool folder_is_writable(const std::filesystem::path& path);
bool file_is_writable(const std::filesystem::path& path);

}  // namespace brookmark::core
