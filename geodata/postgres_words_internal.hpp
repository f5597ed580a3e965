// Why: the words of a connection may hold a password, which belongs in no message, log or file. They are taken apart here, so
// that a message names the database without them, and words of the server that repeat a secret are left out.
// Use: const PostgresWords to = read_postgres_words("PG:host=box dbname=region user=ann");  throw Error(code, "...", to.shown);
//
// Form: PG: and then keyword=value, as PostgreSQL's client library reads it (PostgreSQL 15 documentation, 34.1.1; document).
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace brookmark::geodata {

struct PostgresWords {
  std::string connection;  // for GDAL: the words, and limits so that a server that is lost is noticed
  std::string shown;       // "database region on box": fit for messages
  std::vector<std::string> secrets;  // what no message may hold
};

// Throws Error(kBadUse), which never repeats the words themselves: a password with a space in it would be among them.
PostgresWords read_postgres_words(std::string_view words);

// What a server said, in brackets, in one line; nothing where it holds a secret.
std::string server_said(const std::string& text, const PostgresWords& words);

}  // namespace brookmark::geodata
