#include "core/chemistry/chemistry.hpp"

#include <algorithm>

#include "core/base/text.hpp"
#include "core/chemistry/formulas.hpp"
#include "core/reference/reference.hpp"

namespace brookmark::core {

namespace {

// What the formulas need beside the measurement itself, in plain units. `words` say what was assumed or is missing.
struct Needed {
  std::optional<double> value;
  std::string why_not, note;
};

struct Written {
  std::size_t row = 0;  // of MeasurementColumns
  const Quantity* quantity = nullptr;
};

class VisitWater {
 public:
  VisitWater(const Snapshot& snapshot, const ChemistryOptions& options, VisitIndex index,
             std::vector<ChemistryRow>& rows)
      : all_(snapshot.measurements), options_(options), index_(index), rows_(rows) {}

  void add(std::size_t m) { written_.push_back({m, find_quantity(all_.quantity[m], all_.unit[m])}); }

  void tell() {
    for (const Written& one : written_) tell_measured(one);
    for (const Written& one : written_) tell_derived(one);
  }

 private:
  // A value or a bound, in the plain unit of its quantity.
  struct Amount {
    std::optional<double> value, below;
    std::string why_not, note;
  };

  Amount amount(const Written& one, std::string_view unit) const {
    Amount out;
    const auto raw = all_.value[one.row];
    const bool low = all_.below_detection[one.row];
    const std::optional<double> stood = low ? stand_in(options_.below_detection, raw) : raw;
    if (low && !stood && !raw) {
      out.why_not = "below detection, and the limit was not noted";
      return out;
    }
    const Calculated plain = convert(stood.value_or(raw.value_or(0)), all_.unit[one.row], unit);
    out.why_not = plain.why_not;
    if (plain.value && judge(*one.quantity, *plain.value) == Plausible::kImpossible && !low)
      out.why_not = std::string(one.quantity->title) + " " + std::string(all_.verbatim_value[one.row]) +
                    " is not possible; correct it";
    if (!out.why_not.empty()) return out;
    (stood ? out.value : out.below) = plain.value;
    if (low && stood)
      out.note = stand_in_words(options_.below_detection) + " in place of \"below detection\", as asked";
    return out;
  }

  void tell_measured(const Written& one) {
    ChemistryRow row = start(one, false);
    row.quantity = all_.quantity[one.row];
    row.unit = all_.unit[one.row];
    row.below_detection = all_.below_detection[one.row];
    if (row.below_detection) {
      row.value = stand_in(options_.below_detection, all_.value[one.row]);
      if (row.value)
        row.note = stand_in_words(options_.below_detection) + " in place of \"below detection\", as asked";
      else if (all_.value[one.row])
        row.below = all_.value[one.row];
      else
        row.note = "below detection; the limit was not noted";
    } else {
      row.value = all_.value[one.row];
    }
    if (one.quantity == nullptr) {
      row.note += row.note.empty() ? "" : "; ";
      if (quantities_named(all_.quantity[one.row]).empty())
        row.note += "no limits are known for this quantity";
      else if (!parse_unit(row.unit))
        row.note +=
            "the unit \"" + row.unit + "\" is not known here, so the value is neither judged nor used";
      else
        row.note += "the unit \"" + row.unit +
                    "\" does not fit this quantity, so the value is neither judged nor used";
    } else if (!row.below_detection && row.value) {
      const auto plain = convert(*row.value, row.unit, one.quantity->unit).value;
      row.plausible = judge(*one.quantity, plain.value_or(*row.value));
      if (row.plausible != Plausible::kYes) {
        row.source = limits_text(*one.quantity, row.plausible);
        row.note = row.plausible == Plausible::kImpossible
                       ? "not possible (" + row.source + "); correct the value or its unit"
                       : "out of line (usually " + row.source + "); look at the field sheet again";
        row.source = citation(one.quantity->source_key);
        row.confirmed = Confirmed::kMemory;
      }
    }
    rows_.push_back(std::move(row));
  }

  ChemistryRow start(const Written& one, bool derived) const {
    ChemistryRow row;
    row.visit = index_;
    row.sample = all_.sample[one.row];
    row.derived = derived;
    return row;
  }

  // The middle one of what was measured under a quantity at this visit.
  Needed needed(const char* id, const char* title) const {
    Needed out;
    std::vector<double> values;
    for (const Written& one : written_) {
      if (one.quantity == nullptr || one.quantity->id != id) continue;
      const Amount got = amount(one, one.quantity->unit);
      if (got.value)
        values.push_back(*got.value);
      else
        out.why_not = got.below ? std::string(title) + " is only known to be below a limit" : got.why_not;
    }
    if (values.empty()) {
      if (out.why_not.empty()) out.why_not = std::string("no ") + title + " was measured at this visit";
      return out;
    }
    out.why_not.clear();
    std::sort(values.begin(), values.end());
    const std::size_t n = values.size();
    out.value = (values[(n - 1) / 2] + values[n / 2]) / 2;
    if (n > 1) out.note = "the middle of " + std::to_string(n) + " values of " + title + " is taken";
    return out;
  }

  // Applies a formula that grows with the amount: a bound stays a bound.
  template <class Formula>
  void tell(const Written& one, const char* quantity, const char* unit, int decimals, const char* source_key,
            Confirmed confirmed, const Amount& from, const std::vector<Needed>& beside,
            const Formula& formula) {
    ChemistryRow row = start(one, true);
    row.quantity = quantity;
    row.unit = unit;
    row.decimals = decimals;
    row.source = citation(source_key);
    row.confirmed = confirmed;
    append_note(row.note, from.why_not);
    for (const Needed& need : beside) append_note(row.note, need.why_not);
    if (row.note.empty()) {
      const Calculated result = formula(from.value ? *from.value : *from.below);
      row.note = result.why_not;
      (from.value ? row.value : row.below) = result.value;
      row.below_detection = all_.below_detection[one.row];
      append_note(row.note, from.note);
      for (const Needed& need : beside) append_note(row.note, need.note);
    }
    rows_.push_back(std::move(row));
  }

  void tell_derived(const Written& one) {
    if (one.quantity == nullptr) return;
    const std::string& id = one.quantity->id;
    if (id == "dissolved-oxygen" || id == "oxygen-saturation") tell_oxygen(one, id == "dissolved-oxygen");
    if (id == "ammonia") tell_ammonia(one);
    if (id == "conductivity") tell_conductivity(one);
  }

  void tell_oxygen(const Written& one, bool from_mg_l) {
    const Needed temperature = needed("temperature", "water temperature");
    Needed pressure = needed("pressure", "air pressure");
    if (!pressure.value && options_.pressure_hpa) {
      pressure = {options_.pressure_hpa, "",
                  "air pressure taken as " + format_number(*options_.pressure_hpa) + " hPa, as asked"};
    } else if (!pressure.value) {
      pressure.why_not += "; give one for such visits";
    }
    Needed salinity = needed("salinity", "salinity");
    if (!salinity.value && salinity.why_not.starts_with("no "))
      salinity = {0.0, "", "salinity taken as 0: fresh water"};
    const WaterState water{temperature.value.value_or(0), pressure.value.value_or(0),
                           salinity.value.value_or(0)};
    const bool recalled = water.pressure_hpa != kStandardPressureHpa || water.salinity != 0;
    const Amount amount_here = amount(one, one.quantity->unit);
    const std::vector<Needed> beside{temperature, pressure, salinity};
    const Confirmed confirmed = recalled ? Confirmed::kMemory : Confirmed::kSecondary;
    if (from_mg_l)
      tell(one, "oxygen saturation", "%", 1, "benson-krause-1984", confirmed, amount_here, beside,
           [&](double v) { return oxygen_saturation_percent(v, water); });
    else
      tell(one, "dissolved oxygen", "mg/l", 2, "benson-krause-1984", confirmed, amount_here, beside,
           [&](double v) { return oxygen_mg_l(v, water); });
  }

  void tell_ammonia(const Written& one) {
    const Needed ph = needed("ph", "pH"), temperature = needed("temperature", "water temperature");
    const Calculated share = unionised_ammonia_share(ph.value.value_or(7), temperature.value.value_or(10));
    Amount nitrogen = amount(one, "mg/l N");
    const auto unit = parse_unit(all_.unit[one.row]);
    if (unit && unit->counted_as == CountedAs::kUnsaid) {
      const Amount plain = amount(one, "mg/l");
      const double factor =
          options_.ammonia_as == CountedAs::kNh4 ? *convert(1, "mg/l NH4", "mg/l N").value : 1;
      if (options_.ammonia_as != CountedAs::kUnsaid && plain.why_not.empty()) {
        nitrogen = plain;
        if (nitrogen.value) *nitrogen.value *= factor;
        if (nitrogen.below) *nitrogen.below *= factor;
        append_note(nitrogen.note, std::string("total ammonia counted as ") +
                                       (options_.ammonia_as == CountedAs::kNh4 ? "NH4" : "N") + ", as asked");
      }
    }
    Amount whole;  // the share does not depend on how much there is
    whole.value = 100;
    tell(one, "un-ionised share of ammonia", "%", 3, "emerson-1975", Confirmed::kMemory, whole,
         {ph, temperature}, [&](double v) {
           return share.value ? Calculated{v * *share.value, ""} : share;
         });
    rows_.back().below_detection = false;
    tell(one, "un-ionised ammonia", "mg/l N", 5, "emerson-1975", Confirmed::kMemory, nitrogen,
         {ph, temperature}, [&](double v) {
           return share.value ? Calculated{v * *share.value, ""} : share;
         });
  }

  void tell_conductivity(const Written& one) {
    const Needed temperature = needed("temperature", "water temperature");
    Amount here = amount(one, "uS/cm");
    append_note(here.note,
                "only if the meter showed it at the water's own temperature; many meters bring it to 25 C "
                "themselves");
    tell(one, "conductivity at 25 C", "uS/cm", 0, "conductivity-25-linear", Confirmed::kSecondary, here,
         {temperature}, [&](double v) { return conductivity_at_25(v, temperature.value.value_or(25)); });
  }

  const MeasurementColumns& all_;
  const ChemistryOptions& options_;
  VisitIndex index_;
  std::vector<ChemistryRow>& rows_;
  std::vector<Written> written_;
};

}  // namespace

std::optional<BelowDetection> parse_below_detection(std::string_view word) {
  if (word == "bound") return BelowDetection::kBound;
  if (word == "zero") return BelowDetection::kZero;
  if (word == "half") return BelowDetection::kHalf;
  if (word == "limit") return BelowDetection::kLimit;
  return std::nullopt;
}

std::optional<double> stand_in(BelowDetection choice, std::optional<double> limit) {
  if (choice == BelowDetection::kZero) return 0.0;
  if (choice == BelowDetection::kBound || !limit) return std::nullopt;
  return choice == BelowDetection::kHalf ? *limit / 2 : *limit;
}

std::string stand_in_words(BelowDetection choice) {
  switch (choice) {
    case BelowDetection::kBound:
      return "";
    case BelowDetection::kZero:
      return "zero";
    case BelowDetection::kHalf:
      return "half the limit of detection";
    case BelowDetection::kLimit:
      return "the limit of detection";
  }
  return "";
}

std::vector<ChemistryRow> chemistry_of(const Snapshot& snapshot, const ChemistryOptions& options) {
  std::vector<std::vector<std::size_t>> of_visit(snapshot.visits.size());
  for (std::size_t m = 0; m < snapshot.measurements.size(); ++m)
    of_visit[snapshot.measurements.visit[m].value()].push_back(m);
  std::vector<ChemistryRow> rows;
  for (std::size_t v = 0; v < of_visit.size(); ++v) {
    VisitWater visit(snapshot, options, VisitIndex(v), rows);
    for (const std::size_t m : of_visit[v]) visit.add(m);
    visit.tell();
  }
  return rows;
}

}  // namespace brookmark::core
