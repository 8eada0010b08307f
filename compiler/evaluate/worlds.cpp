#include "evaluate/worlds.hpp"

#include <algorithm>

namespace dripleg::evaluate {
namespace {
constexpr u32 most_sets = (1u << (32 - Worlds::set_shift)) - 1;     // the last number stays free for no_key
constexpr u32 most_projections = (1u << Worlds::set_shift) - 1;

u64 hash_settings(u64 seed, std::span<const WorldSetting> settings) {
  for (const WorldSetting& setting : settings) seed = mix(mix(seed, setting.variable.value), setting.value.bits());
  return seed;
}
}  // namespace

Worlds::Worlds() {
  start_keys();
  world({});
}

void Worlds::start_keys() {
  sets_.clear();
  set_index_.clear();
  projections_.assign(1, Projection{});
  projected_.clear();
  projection_index_.clear();
  set_number(0);
  set_number(reads_everything);
}

void Worlds::forget_keys() {
  start_keys();
  for (World& each : worlds_) each.keys.clear();
}

WorldId Worlds::world(std::span<const WorldSetting> settings) { return with(WorldId{}, settings); }

WorldId Worlds::with(WorldId base, std::span<const WorldSetting> settings) {
  std::vector<WorldSetting> wanted;
  if (base.given()) {
    const auto old = this->settings(base);
    wanted.assign(old.begin(), old.end());
  }
  wanted.insert(wanted.end(), settings.begin(), settings.end());
  std::stable_sort(wanted.begin(), wanted.end(),
                   [](const WorldSetting& a, const WorldSetting& b) { return a.variable < b.variable; });
  std::size_t kept = 0;
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    const bool again = i + 1 < wanted.size() && wanted[i + 1].variable == wanted[i].variable;
    if (!again) wanted[kept++] = wanted[i];
  }
  wanted.resize(kept);
  const u32 number = world_index_.find_or_make(
      hash_settings(kept, wanted),
      [&](u32 at) { return std::ranges::equal(this->settings(WorldId{at}), wanted); },
      [&] {
        worlds_.push_back(World{static_cast<u32>(settings_.size()), static_cast<u32>(kept), {}});
        settings_.insert(settings_.end(), wanted.begin(), wanted.end());
        return static_cast<u32>(worlds_.size() - 1);
      });
  return WorldId{number};
}

std::span<const WorldSetting> Worlds::settings(WorldId world) const {
  const World& asked = worlds_[world.value];
  return std::span<const WorldSetting>(settings_).subspan(asked.first, asked.count);
}

const Value* Worlds::find(WorldId world, VariableId variable) const {
  const auto all = settings(world);
  const auto at = std::lower_bound(all.begin(), all.end(), variable,
                                   [](const WorldSetting& setting, VariableId id) { return setting.variable < id; });
  return at != all.end() && at->variable == variable ? &at->value : nullptr;
}

u32 Worlds::set_number(Reads reads) {
  return set_index_.find_or_make(
      mix(0, reads), [&](u32 at) { return sets_[at] == reads; },
      [&] {
        sets_.push_back(reads);
        return static_cast<u32>(sets_.size() - 1);
      });
}

u32 Worlds::key(WorldId world, Reads reads) {
  if (reads == 0) return key_of_set(world, 0);
  u32 set = 1;
  if (reads != reads_everything) set = sets_.size() < most_sets ? set_number(reads) : 1;
  return key_of_set(world, set);
}

u32 Worlds::make_key(WorldId world, u32 set) {
  scratch_.clear();
  for (const WorldSetting& setting : settings(world))
    if (bit(setting.variable) & sets_[set]) scratch_.push_back(setting);
  if (projections_.size() > most_projections) return no_key;
  const u32 number = projection_index_.find_or_make(
      hash_settings(set, scratch_),
      [&](u32 at) {
        const Projection& known = projections_[at];
        return known.set == set &&
               std::ranges::equal(std::span<const WorldSetting>(projected_).subspan(known.first, known.count), scratch_);
      },
      [&] {
        projections_.push_back({set, static_cast<u32>(projected_.size()), static_cast<u32>(scratch_.size())});
        projected_.insert(projected_.end(), scratch_.begin(), scratch_.end());
        return static_cast<u32>(projections_.size() - 1);
      });
  auto& keys = worlds_[world.value].keys;
  if (keys.size() <= set) keys.resize(set + 1, 0);
  if (marks_ != 0) keys_made_.push_back({world.value, set});
  return keys[set] = (set << set_shift) | number;
}

Worlds::Mark Worlds::begin_mark() {
  ++marks_;
  return {size(), static_cast<u32>(settings_.size()), static_cast<u32>(projections_.size()), static_cast<u32>(projected_.size()),
          static_cast<u32>(keys_made_.size())};
}

void Worlds::drop_to(const Mark& mark) {
  // Worlds that stay may have got keys since.
  std::size_t kept = mark.keys;
  for (std::size_t i = mark.keys; i < keys_made_.size(); ++i) {
    const KeyMade made = keys_made_[i];
    if (made.world >= mark.worlds) continue;
    u32& key = worlds_[made.world].keys[made.set];
    if ((key & ((1u << set_shift) - 1)) >= mark.projections) key = 0;
    else keys_made_[kept++] = made;
  }
  keys_made_.resize(kept);
  worlds_.resize(mark.worlds);
  settings_.resize(mark.settings);
  world_index_.forget_from(mark.worlds);
  projections_.resize(mark.projections);
  projected_.resize(mark.projected);
  projection_index_.forget_from(mark.projections);
}
}  // namespace dripleg::evaluate
