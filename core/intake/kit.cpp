#include <unordered_map>
#include <unordered_set>

#include "core/base/text.hpp"
#include "core/hygiene/cleaning_decision.hpp"
#include "core/intake/plan_internal.hpp"

namespace brookmark::core {

namespace {

// Items of the survey and of the file so far, by code.
class Items {
 public:
  explicit Items(const Snapshot& snapshot) {
    for (const Kit& kit : snapshot.kit) keys_.emplace(kit.code, kit.key);
  }

  // The key of the row's item; a new one is added with the row.
  std::string key_for(Plan& plan, const std::string& code) {
    pending_.reset();
    if (const auto known = keys_.find(code); known != keys_.end()) return known->second;
    Kit kit;
    kit.code = code;
    kit.set = plan.text(Field::kKitSet);
    kit.kind =
        plan.word(Field::kKitKind, parse_kit_kind, kit_kind_name, KitKind::kProbe).value_or(KitKind::kOther);
    if (!plan.row_is_good()) return "";
    kit.key = plan.new_key();
    pending_ = {code, kit.key};
    plan.add(AddKit{kit});
    return kit.key;
  }
  void keep() {
    if (pending_) keys_.insert(std::move(*pending_));
    pending_.reset();
  }

 private:
  std::unordered_map<std::string, std::string> keys_;
  std::optional<std::pair<std::string, std::string>> pending_;
};

std::string identity(const std::string& kit, const Moment& when, std::string_view what) {
  return kit + '\x1f' + format_moment(when) + '\x1f' + std::string(what);
}

std::unordered_set<std::string> identities(const Snapshot& snapshot) {
  std::unordered_set<std::string> known;
  for (const KitUse& use : snapshot.kit_uses) known.insert(identity(use.kit_key, use.when, use.site_key));
  for (const Cleaning& cleaning : snapshot.cleanings)
    known.insert(identity(cleaning.kit_key, cleaning.finished, cleaning.agent));
  return known;
}

std::optional<double> within(Plan& plan, Field field, const char* what, double least, double most) {
  const auto value = plan.number(field, what);
  if (!value) return std::nullopt;
  if (*value >= least && *value <= most) return value;
  plan.error(field, entry(plan.cell(field)) + " cannot be " + what + "; it lies between " +
                        format_number(least) + " and " + format_number(most) + ".");
  return std::nullopt;
}

Cleaning read_cleaning(Plan& plan, const Moment& when) {
  Cleaning cleaning;
  const std::string agent = plan.text(Field::kAgent);
  const CleaningAgent* known = find_agent(agent);
  cleaning.agent = known != nullptr ? known->name : agent;
  cleaning.finished = when;
  cleaning.concentration_pct = within(plan, Field::kConcentration, "a strength in per cent", 1e-9, 100);
  cleaning.temperature_c = within(plan, Field::kTemperature, "a temperature in degrees Celsius", -50, 200);
  cleaning.contact_min = within(plan, Field::kContact, "a contact time in minutes", 1e-6, 5256000);
  cleaning.note = plan.text(Field::kKitNote);
  if (!plan.row_is_good()) return cleaning;
  if (const std::string missing = missing_in(cleaning); !missing.empty())
    plan.warn(Field::kAgent, "This cleaning proves nothing as it stands: " + missing + ".");
  if (!when.minute_of_day)
    plan.warn(Field::kDate,
              "This cleaning has no time of day, so it does not count for uses of the same day.");
  return cleaning;
}

}  // namespace

void plan_kit(Plan& plan) {
  plan.require(Field::kKitCode);
  plan.require(Field::kDate);
  if (!plan.has(Field::kSiteCode)) plan.require(Field::kAgent);
  const CodeList sites = CodeList::of_sites(plan.snapshot());
  Items items(plan.snapshot());
  std::unordered_set<std::string> known = identities(plan.snapshot());
  plan.each_row([&] {
    const std::string code = plan.need(Field::kKitCode, "code of an item");
    const auto when = plan.moment();
    const std::string site = plan.text(Field::kSiteCode), agent = plan.text(Field::kAgent);
    if (site.empty() == agent.empty())
      plan.error(site.empty()
                     ? "This row names neither a site (a use) nor an agent (a cleaning); fill in one of them."
                     : "This row names a site (a use) and an agent (a cleaning); make two rows of it.");
    std::optional<std::size_t> at;
    if (!site.empty() && !(at = sites.find(site))) plan.error(Field::kSiteCode, sites.not_found(site));
    if (!plan.row_is_good() || !when) return;
    Cleaning cleaning;
    if (!agent.empty()) cleaning = read_cleaning(plan, *when);
    const std::string kit = plan.row_is_good() ? items.key_for(plan, code) : "";
    if (!plan.row_is_good()) return;
    const std::string site_key = at ? std::string(plan.snapshot().sites.key[*at]) : "";
    if (!known.insert(identity(kit, *when, at ? site_key : cleaning.agent)).second) {
      plan.error(Field::kKitCode, "The same " + std::string(at ? "use" : "cleaning") + " of " +
                                      in_quotes(code) + " is there already. Leave the " + plan.row_word() +
                                      " out.");
      return;
    }
    items.keep();
    if (at) {
      KitUse use;
      use.key = plan.new_key();
      use.kit_key = kit;
      use.site_key = site_key;
      use.when = *when;
      use.override_reason = plan.text(Field::kOverride);
      use.note = plan.text(Field::kKitNote);
      plan.add(AddKitUse{std::move(use)});
    } else {
      cleaning.key = plan.new_key();
      cleaning.kit_key = kit;
      plan.add(AddCleaning{std::move(cleaning)});
    }
  });
}

}  // namespace brookmark::core
