#include <ogrsf_frmts.h>

#include "geodata/export_writers_internal.hpp"
#include "geodata/gdal_errors_internal.hpp"

namespace brookmark::geodata {

void expect_features(const TargetFile& target, const std::string& layer_name, std::size_t rows) {
  const GdalMessages messages;
  const DatasetPointer dataset(GDALDataset::Open(target.temporary().c_str(),
                                                 GDAL_OF_VECTOR | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR));
  OGRLayer* layer = nullptr;
  if (dataset != nullptr)
    layer = layer_name.empty() ? dataset->GetLayer(0) : dataset->GetLayerByName(layer_name.c_str());
  if (layer != nullptr && layer->GetFeatureCount() == static_cast<GIntBig>(rows) && !messages.failed())
    return;
  throw target.failure("the file does not hold all rows when read again" + messages.in_brackets());
}

}  // namespace brookmark::geodata
