// Which fall is narrowed down: the worst there is, or that between two sites, and what the sites between say of it.
#include <cmath>

#include "core/base/no_answer.hpp"
#include "core/base/text.hpp"
#include "core/design/narrow.hpp"
#include "core/design/sites_between_internal.hpp"
#include "core/network/channel_walk.hpp"

namespace brookmark::core {
namespace {

std::string step_words(const Drop& step) {
  const SamplePair* pair = step.newest();
  if (pair == nullptr) return "no samples that can be compared";
  if (!pair->fall) return pair->is_worse() ? "a collapse below" : "a collapse above";
  if (std::abs(*pair->fall) < 5e-3) return "no difference";
  return (*pair->fall > 0 ? "worse by " : "better by ") + format_fixed(std::abs(*pair->fall), 2);
}

}  // namespace

std::string steps_words(const Snapshot& snapshot, const FallToNarrow& task) {
  if (task.steps.empty()) return "";
  const auto code = [&](SiteIndex site) { return std::string(snapshot.sites.code[site.value()]); };
  std::vector<std::string> words;
  const Drop* worst = nullptr;
  const auto size_of = [](const Drop& step) {
    const SamplePair* pair = step.newest();
    if (pair == nullptr || !pair->is_worse()) return 0.0;
    return pair->fall.value_or(HUGE_VAL);
  };
  for (const Drop& step : task.steps) {
    words.push_back(code(step.up) + " to " + code(step.down) + " " + step_words(step));
    if (size_of(step) > (worst == nullptr ? 0.0 : size_of(*worst))) worst = &step;
  }
  const Drop& whole = task.asked ? *task.asked : task.fall;
  std::string all =
      "on the way from " + code(whole.up) + " to " + code(whole.down) + ": " + joined(words, ", ");
  if (worst != nullptr)
    all += "; it falls most between " + code(worst->up) + " and " + code(worst->down) +
           ", and that stretch can be narrowed down by itself";
  return all;
}

FallToNarrow worst_fall(std::span<const Drop> falls) {
  if (falls.empty() || !falls.front().is_worse())
    throw AnswerIsNo(
        "quality falls between no two neighbours, so there is nothing to narrow down; see `brookmark drops "
        "SURVEY --all`");
  return {falls.front(), {}, {}, {}};
}

FallToNarrow fall_between(const FallSource& source, std::span<const Drop> falls, std::string_view up,
                          std::string_view down) {
  const Snapshot& snapshot = source.snapshot;
  const auto point_of = [&](SiteIndex site) {
    return source.network.snap(snapshot.sites.position[site.value()],
                               snap_limit_m(snapshot.sites.kind[site.value()], source.network.options()));
  };
  const auto site_of = [&](std::string_view code) {
    const auto site = snapshot.find_site(code);
    if (!site)
      throw Error(ErrorCode::kNotFound, "there is no site \"" + std::string(code) + "\" in this survey");
    if (!is_placed(snapshot.sites.position[site->value()]))
      throw Error(ErrorCode::kNotFound,
                  "site " + std::string(code) +
                      " has no position, so nothing lies between it and another site; give it one");
    if (!point_of(*site))
      throw Error(ErrorCode::kNotFound, "site " + std::string(code) + " lies on no channel");
    return *site;
  };
  const SiteIndex from = site_of(up), to = site_of(down);
  const std::string both = std::string(up) + " to " + std::string(down);
  if (from == to)
    throw Error(ErrorCode::kBadUse,
                "both are site " + std::string(up) + "; name two sites, the upper one first");
  ChannelWalk walk(source.network);
  walk.start(*point_of(from), Direction::kDownstream);
  if (!walk.distance_m(*point_of(to))) {
    walk.start(*point_of(to), Direction::kDownstream);
    const bool turned = walk.distance_m(*point_of(from)).has_value();
    throw Error(ErrorCode::kNotFound,
                "no water runs from " + both +
                    (turned ? ": " + std::string(down) + " lies above; name the upper site first"
                            : ", so the one's quality says nothing of the other's"));
  }
  const auto worse = [&](const Drop& fall) -> const Drop& {
    if (!fall.is_worse())
      throw AnswerIsNo("quality does not fall between " + std::string(up) + " and " + std::string(down) +
                       " by the newest pair of samples");
    return fall;
  };
  for (const Drop& fall : falls)
    if (fall.up == from && fall.down == to) return {worse(fall), {}, {}, {}};
  for (const Drop& fall : find_drops(snapshot, source.scores, source.metric, source.network, source.period,
                                     {.only = {from, to}})) {
    if (fall.up != from || fall.down != to) continue;
    if (fall.pairs.empty())
      throw AnswerIsNo("the samples of " + std::string(up) + " and " + std::string(down) +
                       " cannot be compared: " + fall.note);
    return by_sites_between(source,
                            {worse(fall), drops_within(snapshot, source.network, fall, falls), {}, {}});
  }
  throw AnswerIsNo(
      "one of " + std::string(up) + " and " + std::string(down) +
      " has no sample of the last two years in which the method speaks, so nothing can be said of a fall "
      "from " +
      both);
}

}  // namespace brookmark::core
