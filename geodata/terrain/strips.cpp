#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <thread>

#include "geodata/terrain/strips_internal.hpp"

namespace brookmark::geodata {

namespace {

// Heights, directions and labels of a strip: 9 bytes a cell, some MiB. Each edge between strips costs memory for the
// saddles across it, so wide grids get higher strips.
constexpr std::size_t kUsualCells = std::size_t{1} << 19, kUsualRows = 128;

}  // namespace

std::vector<Strip> strips_of(GridSize size, std::size_t cells_in_strip) {
  const std::size_t cols = std::max<std::size_t>(1, size.cols);
  if (cells_in_strip == 0) cells_in_strip = std::max(kUsualCells, kUsualRows * cols);
  const std::size_t rows_each = std::max<std::size_t>(1, cells_in_strip / cols);
  std::vector<Strip> strips;
  for (std::size_t row = 0; row < size.rows; row += rows_each)
    strips.push_back({strips.size(), row, std::min<std::size_t>(size.rows, row + rows_each)});
  return strips;
}

void for_each_strip(std::span<const Strip> strips, unsigned threads, const ProgressPart& progress,
                    const std::function<void(const Strip&)>& work) {
  if (threads == 0) threads = std::max(1U, std::thread::hardware_concurrency());
  threads = static_cast<unsigned>(std::min<std::size_t>(threads, std::max<std::size_t>(1, strips.size())));
  std::atomic<std::size_t> next{0}, ended{0};
  std::exception_ptr failure;
  std::mutex failure_lock;
  const auto take_all = [&](bool tells) {
    try {
      for (std::size_t i = next++; i < strips.size(); i = next++) {
        work(strips[i]);
        ++ended;
        if (tells) progress.tell(static_cast<double>(ended) / static_cast<double>(strips.size()));
      }
    } catch (...) {
      next = strips.size();
      const std::lock_guard lock(failure_lock);
      if (!failure) failure = std::current_exception();
    }
  };
  {
    std::vector<std::jthread> others;
    for (unsigned t = 1; t < threads; ++t) others.emplace_back([&] { take_all(false); });
    take_all(true);
  }
  if (failure) std::rethrow_exception(failure);
}

}  // namespace brookmark::geodata
