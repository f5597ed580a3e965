#include "geodata/vector_text_internal.hpp"

#include <ogr_feature.h>

#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "core/base/text.hpp"

namespace brookmark::geodata {

namespace {

std::string real_text(double value, OGRFieldSubType subtype) {
  if (std::isnan(value)) return {};
  if (std::isinf(value)) return value > 0 ? "inf" : "-inf";
  if (subtype != OFSTFloat32) return core::format_number(value);
  std::array<char, 32> text{};  // 0.1 kept in 32 bits reads 0.1, not 0.10000000149
  const auto end = std::to_chars(text.data(), text.data() + text.size(), static_cast<float>(value)).ptr;
  return {text.data(), end};
}

std::string integer_text(GIntBig value, OGRFieldSubType subtype) {
  if (subtype == OFSTBoolean) return value != 0 ? "true" : "false";
  return std::to_string(value);
}

// OGR's flag: 0 unknown, 1 local, 100 UTC, then quarters of an hour from it.
std::string offset_text(int flag) {
  if (flag <= 1) return {};
  if (flag == 100) return "Z";
  const int minutes = (flag - 100) * 15;
  std::array<char, 16> text{};
  std::snprintf(text.data(), text.size(), "%c%02d:%02d", minutes < 0 ? '-' : '+', std::abs(minutes) / 60,
                std::abs(minutes) % 60);
  return text.data();
}

std::string moment_text(const OGRFeature& feature, int field, OGRFieldType type) {
  int year = 0, month = 0, day = 0, hour = 0, minute = 0, flag = 0;
  float second = 0;
  if (feature.GetFieldAsDateTime(field, &year, &month, &day, &hour, &minute, &second, &flag) == 0) return {};
  std::array<char, 64> date{};
  std::array<char, 64> time{};
  std::snprintf(date.data(), date.size(), "%04d-%02d-%02d", year, month, day);
  const int whole = static_cast<int>(second);
  const int thousandths = static_cast<int>(std::lround((second - static_cast<float>(whole)) * 1000));
  if (thousandths > 0 && thousandths < 1000)
    std::snprintf(time.data(), time.size(), "%02d:%02d:%02d.%03d", hour, minute, whole, thousandths);
  else
    std::snprintf(time.data(), time.size(), "%02d:%02d:%02d", hour, minute, whole);
  if (type == OFTDate) return date.data();
  if (type == OFTTime) return time.data() + offset_text(flag);
  return std::string(date.data()) + "T" + time.data() + offset_text(flag);
}

template <class Value, class Text>
std::string joined(const Value* values, int count, Text text) {
  std::string result;
  for (int i = 0; i < count; ++i) result += (i == 0 ? "" : ";") + text(values[i]);
  return result;
}

}  // namespace

std::string field_text(const OGRFeature& source, int field) {
  if (!source.IsFieldSetAndNotNull(field)) return {};
  auto& feature = const_cast<OGRFeature&>(source);  // OGR's list getters are not const; they change nothing
  const OGRFieldDefn& definition = *feature.GetFieldDefnRef(field);
  const OGRFieldSubType subtype = definition.GetSubType();
  int count = 0;
  switch (definition.GetType()) {
    case OFTInteger:
    case OFTInteger64:
      return integer_text(feature.GetFieldAsInteger64(field), subtype);
    case OFTReal:
      return real_text(feature.GetFieldAsDouble(field), subtype);
    case OFTDate:
    case OFTTime:
    case OFTDateTime:
      return moment_text(feature, field, definition.GetType());
    case OFTIntegerList: {
      const int* values = feature.GetFieldAsIntegerList(field, &count);
      return joined(values, count, [&](int value) { return integer_text(value, subtype); });
    }
    case OFTInteger64List: {
      const GIntBig* values = feature.GetFieldAsInteger64List(field, &count);
      return joined(values, count, [&](GIntBig value) { return integer_text(value, subtype); });
    }
    case OFTRealList: {
      const double* values = feature.GetFieldAsDoubleList(field, &count);
      return joined(values, count, [&](double value) { return real_text(value, subtype); });
    }
    case OFTStringList: {
      const char* const* values = feature.GetFieldAsStringList(field);
      while (values != nullptr && values[count] != nullptr) ++count;
      return joined(values, count, [](const char* value) { return std::string(value); });
    }
    default:
      return feature.GetFieldAsString(field);
  }
}

}  // namespace brookmark::geodata
