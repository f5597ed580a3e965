// Why: one transaction on a PostgreSQL server through GDAL, which tells failures in words only and has no way to ask a plain
// question. Whatever is thrown while it lives, nothing stays on the server.
// Use: PostgresSession server(words);  server.run("CREATE TABLE ...");  server.commit();
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "geodata/gdal_errors_internal.hpp"
#include "geodata/postgres_words_internal.hpp"

class OGRLayer;

namespace brookmark::geodata {

// The driver for as long as it lives: at all other times a file that names a database is not followed there.
class PostgresDriver {
 public:
  PostgresDriver();
  ~PostgresDriver();
  PostgresDriver(const PostgresDriver&) = delete;
  PostgresDriver& operator=(const PostgresDriver&) = delete;
};

class PostgresSession {
 public:
  // Throws Error: kNotFound (no server, or it lets nobody in), kStorage (GDAL has no driver for it).
  explicit PostgresSession(const PostgresWords& words);
  ~PostgresSession();  // what was not committed is taken back
  PostgresSession(const PostgresSession&) = delete;
  PostgresSession& operator=(const PostgresSession&) = delete;

  GDALDataset& dataset() { return *dataset_; }
  // All throw Error: kReadOnly (no right to do it), kStorage (the server refused, or went away).
  void run(const std::string& sql);
  // Of a statement that begins with WITH: GDAL sends those as they stand, and makes a cursor of a SELECT.
  std::vector<std::vector<std::string>> rows(const std::string& with);
  std::int64_t number(const std::string& with);
  void commit();
  // Throws as above unless `succeeded` and nothing was said against it.
  void expect(bool succeeded, const char* what = "the server did not take it");

 private:
  [[noreturn]] void fail(const std::string& what);
  bool answers();

  const PostgresWords& words_;
  PostgresDriver driver_;
  GdalMessages messages_;
  DatasetPointer dataset_;
  bool open_ = false;
};

std::string sql_name(const std::string& name);  // "name"
std::string sql_text(const std::string& text);  // 'text'

}  // namespace brookmark::geodata
