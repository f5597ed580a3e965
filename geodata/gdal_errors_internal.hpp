// Why: GDAL tells what went wrong through a callback, sometimes only while closing. This keeps its words for
// our own error sentences and keeps them off the terminal.
// Use: GdalMessages messages;  ... GDAL calls ...;
//      if (messages.failed()) throw Error(..., messages.text());
#pragma once

#include <memory>
#include <string>

class GDALDataset;

namespace brookmark::geodata {

struct CloseDataset {
  void operator()(GDALDataset* dataset) const;
};
using DatasetPointer = std::unique_ptr<GDALDataset, CloseDataset>;

// Listens on this thread for as long as it lives. Not copyable, strictly nested.
class GdalMessages {
 public:
  GdalMessages();
  ~GdalMessages();
  GdalMessages(const GdalMessages&) = delete;
  GdalMessages& operator=(const GdalMessages&) = delete;

  bool failed() const { return failed_; }  // an error, not only a warning
  const std::string& text() const {
    return text_;
  }                                 // the first few errors, each once; empty when there were none
  std::string in_brackets() const;  // " (GDAL says: ...)", or nothing
  void add(bool is_error, const char* message);

 private:
  bool failed_ = false;
  int kept_ = 0;
  std::string text_;
};

}  // namespace brookmark::geodata
