// Why: where the processor draws, tens of thousands of lines take longer than a frame may. They are drawn a part in each
// frame, onto a sheet that reaches beyond the view; a finished sheet is moved, and while the map comes nearer stretched,
// until the next one is done.
// Use: if (!sheets.paint(ground, frame, canvas, seen, unit)) draw_at_once();  if (!sheets.is_whole()) draw_another_frame();
#pragma once

#include "viewer/platform/gl_ground_internal.hpp"

namespace brookmark::viewer {

class GroundSheets {
 public:
  GroundSheets();
  ~GroundSheets();
  GroundSheets(const GroundSheets&) = delete;
  GroundSheets& operator=(const GroundSheets&) = delete;

  // The frame's lines onto the canvas; `seen`: the box of the map, framebuffer pixels. False, and nothing drawn, where the
  // graphics driver has no room for a sheet.
  bool paint(GlGround& ground, const MapFrame& frame, const GlCanvas& canvas, const PixelBox& seen,
             float unit);
  // Whether what was painted last is what the frame asked for.
  bool is_whole() const { return whole_; }
  void rest() { whole_ = true; }  // in a frame that is drawn without them
  void drop();                    // what is on the sheets is no longer wanted

 private:
  struct Sheet {
    unsigned frame = 0, texture = 0, depth = 0;
    int width = 0, height = 0;
    double px_per_m = 1;
    core::PlanePoint centre;
    Pixel middle;               // where the centre is, from the top left of the sheet
    std::uint64_t content = 0;  // of what frames it was made: all but the view
    bool done = false;
  };
  bool begin(GlGround& ground, const MapFrame& frame, const GlCanvas& canvas, const PixelBox& seen,
             float unit, std::uint64_t content);
  // Where a sheet lies on the canvas.
  static PixelBox place(const Sheet& sheet, const GlCanvas& canvas);
  void draw_more(GlGround& ground, std::size_t budget);
  void lay(const Sheet& sheet, const GlCanvas& canvas) const;
  static bool covers(const Sheet& sheet, const GlCanvas& canvas, const PixelBox& seen, double spare_px);
  static bool make(Sheet& sheet, int width, int height);
  static void remove(Sheet& sheet);

  Program program_;
  Sheet shown_, coming_;
  std::vector<GroundJob> jobs_;
  std::size_t next_ = 0;
  bool whole_ = true;
};

}  // namespace brookmark::viewer
