// Why: terrain of hundreds of millions of cells takes a minute: whoever waits sees how far it is and may stop it.
// Use: options.progress = [&](double done) { bar.show(done); return !interrupted; };
#pragma once

#include <functional>

#include "core/base/error.hpp"

namespace brookmark::geodata {

// Told now and then how much is done (0 to 1), always on the calling thread. False: stop; the work then ends with
// Stopped, and nothing stays half written. Empty: nobody waits.
using Progress = std::function<bool(double done)>;

class Stopped : public Error {
 public:
  Stopped() : Error(ErrorCode::kStorage, "stopped before the end; nothing was written") {}
};

// A part of a longer work, from `from` to `to` of it.
class ProgressPart {
 public:
  ProgressPart(const Progress& progress, double from, double to)
      : progress_(progress), from_(from), to_(to) {}
  // Throws Stopped.
  void tell(double done) const {
    if (progress_ && !progress_(from_ + (to_ - from_) * done)) throw Stopped();
  }
  ProgressPart part(double from, double to) const {
    return {progress_, from_ + (to_ - from_) * from, from_ + (to_ - from_) * to};
  }

 private:
  const Progress& progress_;
  double from_, to_;
};

}  // namespace brookmark::geodata
