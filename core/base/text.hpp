// Why: numbers and names from field sheets, read without locale and without surprises.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace brookmark::core {

std::string_view trim(std::string_view text);
std::string to_lower_ascii(std::string_view text);
// For comparing names: lower case, accents dropped (Latin letters, also o-slash, ae, l-stroke, sharp s),
// underscores, points and runs of white space as one space, ends trimmed. UTF-8 in, ASCII where a folding is
// known.
std::string fold_name(std::string_view text);
bool is_valid_utf8(std::string_view text);

// The whole text must be the number. `decimal` is '.' or ','. No thousands separators, no inf, no nan.
std::optional<double> parse_number(std::string_view text, char decimal = '.');
std::optional<std::int64_t> parse_integer(std::string_view text);
// Shortest text that reads back to the same double.
std::string format_number(double value);
// Fixed decimals, half away from zero as the decimal text would round.
std::string format_fixed(double value, int decimals);

std::vector<std::string> split(std::string_view text, char separator);
std::string in_quotes(std::string_view text);  // "\"text\"", for messages
std::string joined(const std::vector<std::string>& words, std::string_view between);
// Optimal string alignment distance (insert, delete, replace, swap neighbours), on bytes.
std::size_t edit_distance(std::string_view a, std::string_view b);

// Appends `more` to a note, behind "; " where the note holds something already. Nothing for an empty text.
void append_note(std::string& note, std::string_view more);

}  // namespace brookmark::core
