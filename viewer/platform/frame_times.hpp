// Why: whether the window answers in time is a matter of its slowest frames on a given machine; here they are written down.
// Use: brookmark view big.brook --frame-times frames.csv    # then move the map about, close the window, and look
#pragma once

#include <cstddef>
#include <filesystem>
#include <fstream>
#include <optional>

namespace brookmark::viewer {

// A CSV file with a row for each frame: `frame,start_s,wall_ms,own_ms`. wall_ms: from the beginning of the frame until it
// was handed to the screen; own_ms: of it the processor time of the frame's own thread, nothing where the system does not
// tell. Rows are complete at any time.
class FrameTimes {
 public:
  // Throws Error(kNotFound) where the file cannot be written.
  explicit FrameTimes(const std::filesystem::path& file);
  void begin(double now_s);
  void end(double now_s);

 private:
  std::ofstream out_;
  std::size_t frame_ = 0;
  double begun_s_ = 0;
  std::optional<double> begun_own_s_;
};

}  // namespace brookmark::viewer
