// Why: SpatiaLite sets up and tears down shared state of other libraries; two connections must not do it at
// once.
// Use: const std::lock_guard lock(spatialite_lock());
#pragma once

#include <mutex>

namespace brookmark::core {

std::mutex& spatialite_lock();

}  // namespace brookmark::core
