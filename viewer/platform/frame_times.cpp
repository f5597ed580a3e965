#include "viewer/platform/frame_times.hpp"

#include <ctime>

#include "core/base/error.hpp"
#include "core/base/text.hpp"

namespace brookmark::viewer {
namespace {

std::optional<double> own_seconds() {
  timespec t{};
  if (clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t) != 0) return std::nullopt;
  return static_cast<double>(t.tv_sec) + static_cast<double>(t.tv_nsec) * 1e-9;
}

}  // namespace

FrameTimes::FrameTimes(const std::filesystem::path& file) : out_(file) {
  out_ << "frame,start_s,wall_ms,own_ms\n" << std::flush;
  if (!out_)
    throw Error(ErrorCode::kNotFound,
                file.string() + ": cannot be written; name a file in a folder where files can be made");
}

void FrameTimes::begin(double now_s) {
  begun_s_ = now_s;
  begun_own_s_ = own_seconds();
}

void FrameTimes::end(double now_s) {
  const std::optional<double> own = own_seconds();
  out_ << ++frame_ << ',' << core::format_fixed(begun_s_, 3) << ','
       << core::format_fixed((now_s - begun_s_) * 1000, 2) << ',';
  if (own && begun_own_s_) out_ << core::format_fixed((*own - *begun_own_s_) * 1000, 2);
  out_ << '\n' << std::flush;
}

}  // namespace brookmark::viewer
