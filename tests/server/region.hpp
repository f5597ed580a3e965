// Why: publishing is checked on a real server, and what stands there is read by the server's own programs, not by ours.
// Use: const Region region;  run({"publish", survey, region.words()});  region.ask("SELECT count(*) FROM brookmark.sites")
//
// The server is that of with_server.sh; without one every test fails.
#pragma once

#include <doctest/doctest.h>
#include <sys/wait.h>

#include <cstdio>
#include <cstdlib>
#include <stdexcept>
#include <string>

namespace brookmark::test {

inline std::string environment(const char* name) {
  const char* value = std::getenv(name);
  REQUIRE_MESSAGE(value != nullptr, "run these tests through tests/server/with_server.sh");
  return value;
}

// What a shell command prints, both streams.
struct Said {
  int code = -1;
  std::string text;
};
inline Said shell(const std::string& command) {
  std::FILE* pipe = popen(("{ " + command + "\n} 2>&1").c_str(), "r");
  if (pipe == nullptr) throw std::runtime_error("no shell");
  Said said;
  char piece[4096];
  while (const std::size_t got = std::fread(piece, 1, sizeof piece, pipe)) said.text.append(piece, got);
  const int status = pclose(pipe);
  said.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return said;
}
inline std::string shell_well(const std::string& command) {
  const Said said = shell(command);
  INFO(command);
  INFO(said.text);
  REQUIRE(said.code == 0);
  return said.text;
}
inline std::string in_quotes(const std::string& text) {
  std::string quoted = "'";
  for (const char c : text) quoted += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return quoted + "'";
}

// A database of its own on the server.
class Region {
 public:
  explicit Region(bool with_postgis = true) : server_(environment("BROOKMARK_TEST_SERVER")) {
    static int number = 0;
    name_ = "region_" + std::to_string(++number);
    shell_well("psql -q -X " + in_quotes(server_ + " dbname=postgres") + " -c 'CREATE DATABASE " + name_ +
               "'");
    if (with_postgis) ask("CREATE EXTENSION postgis");
  }

  const std::string& name() const { return name_; }
  std::string connection() const { return server_ + " dbname=" + name_; }
  std::string words() const { return "PG:" + connection(); }
  // As somebody else.
  std::string words_as(const std::string& role) const { return words() + " user=" + role; }
  // One line a row, columns with a bar between.
  std::string ask(const std::string& sql) const {
    return shell_well("psql -q -X -At -v ON_ERROR_STOP=1 " + in_quotes(connection()) + " -c " +
                      in_quotes(sql));
  }

  // Row version and place of every row of every table: any write at all changes it.
  std::string versions(const std::string& schema = "brookmark") const {
    std::string all;
    const std::string tables =
        ask("SELECT tablename FROM pg_tables WHERE schemaname = '" + schema + "' ORDER BY 1");
    for (std::size_t at = 0; at < tables.size();) {
      const std::size_t end = tables.find('\n', at);
      const std::string table = tables.substr(at, end - at);
      all += table + ":\n" + versions_of(schema + "." + table);
      at = end + 1;
    }
    return all;
  }
  std::string versions_of(const std::string& table, const std::string& where = "true") const {
    return ask("SELECT row_key, survey_uuid, xmin, ctid, published_utc FROM " + table + " WHERE " + where +
               " ORDER BY survey_uuid, row_key");
  }
  // Every cell of every table. Counters of row numbers go on in a transaction that is taken back, and are left out.
  std::string everything(const std::string& schema = "brookmark") const {
    return shell_well("pg_dump --data-only --inserts -n " + schema + " " + in_quotes(connection()) +
                      " | grep '^INSERT' | sort");
  }

 private:
  std::string server_, name_;
};

}  // namespace brookmark::test
