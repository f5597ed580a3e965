#include "geodata/postgres_words_internal.hpp"

#include <algorithm>
#include <array>
#include <optional>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::geodata {

namespace {

constexpr std::array<std::string_view, 24> kKeywords = {"host",
                                                        "hostaddr",
                                                        "port",
                                                        "dbname",
                                                        "user",
                                                        "password",
                                                        "passfile",
                                                        "sslmode",
                                                        "sslrootcert",
                                                        "sslcert",
                                                        "sslkey",
                                                        "sslpassword",
                                                        "sslcrl",
                                                        "ssl_min_protocol_version",
                                                        "channel_binding",
                                                        "gssencmode",
                                                        "krbsrvname",
                                                        "service",
                                                        "options",
                                                        "connect_timeout",
                                                        "keepalives",
                                                        "keepalives_idle",
                                                        "tcp_user_timeout",
                                                        "application_name"};

// A server that is gone is noticed in half a minute, and one that never answers in ten seconds (common practice, no source).
constexpr std::pair<std::string_view, std::string_view> kLimits[] = {{"connect_timeout", "10"},
                                                                     {"keepalives_idle", "10"},
                                                                     {"tcp_user_timeout", "30000"},
                                                                     {"application_name", "brookmark"}};

struct Pair {
  std::string keyword, value;
};

bool is_space(char c) {
  return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f' || c == '\v';
}

// Nothing where the words are not of the form.
std::optional<std::vector<Pair>> pairs_in(std::string_view words) {
  std::vector<Pair> pairs;
  std::size_t at = 0;
  const auto skip = [&] {
    while (at < words.size() && is_space(words[at])) ++at;
  };
  for (skip(); at < words.size(); skip()) {
    Pair pair;
    while (at < words.size() && words[at] != '=' && !is_space(words[at])) pair.keyword += words[at++];
    skip();
    if (at == words.size() || words[at++] != '=') return std::nullopt;
    if (std::find(kKeywords.begin(), kKeywords.end(), pair.keyword) == kKeywords.end()) return std::nullopt;
    skip();
    const bool quoted = at < words.size() && words[at] == '\'';
    if (quoted) ++at;
    while (at < words.size() && (quoted ? words[at] != '\'' : !is_space(words[at]))) {
      if (words[at] == '\\' && ++at == words.size()) return std::nullopt;
      pair.value += words[at++];
    }
    if (quoted && at++ == words.size()) return std::nullopt;
    pairs.push_back(std::move(pair));
  }
  return pairs;
}

std::string in_quotes(std::string_view value) {
  std::string text = "'";
  for (const char c : value) {
    if (c == '\'' || c == '\\') text += '\\';
    text += c;
  }
  return text + "'";
}

}  // namespace

PostgresWords read_postgres_words(std::string_view words) {
  const auto pairs = words.starts_with("PG:") ? pairs_in(words.substr(3)) : std::nullopt;
  if (!pairs || pairs->empty() || words.find('\0') != std::string_view::npos)
    throw Error(
        ErrorCode::kBadUse,
        "these are no words for a PostgreSQL database (they are not repeated here, for a password may "
        "be among them); write "
        "\"PG:host=... port=... dbname=... user=...\", a value with spaces between single quotes, and "
        "keep the password in "
        "PGPASSWORD or in the file ~/.pgpass");
  PostgresWords to;
  std::string database, host;
  to.connection = "PG:";
  const auto has = [&](std::string_view keyword) {
    return std::any_of(pairs->begin(), pairs->end(), [&](const Pair& p) { return p.keyword == keyword; });
  };
  for (const Pair& pair : *pairs) {
    to.connection += pair.keyword + "=" + in_quotes(pair.value) + " ";
    if (pair.keyword.ends_with("password") && !pair.value.empty()) to.secrets.push_back(pair.value);
    if (pair.keyword == "dbname") database = pair.value;
    if (pair.keyword == "host" || (pair.keyword == "hostaddr" && host.empty())) host = pair.value;
  }
  // A whole connection in place of a name would hide what is in it from the lines above.
  if (database.find("://") != std::string::npos || database.find('=') != std::string::npos)
    throw Error(ErrorCode::kBadUse, "dbname is the name of a database, not a whole connection");
  for (const auto& [keyword, value] : kLimits)
    if (!has(keyword)) to.connection += std::string(keyword) + "=" + in_quotes(value) + " ";
  to.shown =
      (database.empty() ? "the database" : "database " + database) + (host.empty() ? "" : " on " + host);
  return to;
}

std::string server_said(const std::string& text, const PostgresWords& words) {
  std::string line;
  for (const char c : text)
    if (!is_space(c))
      line += c;
    else if (!line.empty() && line.back() != ' ')
      line += ' ';
  line = std::string(core::trim(line));
  if (line.empty()) return {};
  for (const std::string& secret : words.secrets)
    if (line.find(secret) != std::string::npos || text.find(secret) != std::string::npos) return {};
  return " (the server says: " + line + ")";
}

}  // namespace brookmark::geodata
