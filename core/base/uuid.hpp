// Why: every row of the surveyor's own data has a key that no other machine will ever make.
#pragma once

#include <cstdint>
#include <functional>
#include <string>

namespace brookmark::core {

using KeySource = std::function<std::string()>;

std::string random_uuid();                   // RFC 4122 version 4, from the system's random source
KeySource seeded_uuids(std::uint64_t seed);  // version 4 in form, the same sequence for the same seed

}  // namespace brookmark::core
