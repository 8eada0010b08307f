#include "evaluate/recorder.hpp"

namespace dripleg::evaluate {
bool Recorder::same(const Step& a, const Step& b) const {
  return a.how == b.how && a.thing == b.thing && a.slot == b.slot && a.condition == b.condition && a.limit == b.limit &&
         a.table == b.table && a.row == b.row && a.kind == b.kind && a.world == b.world && a.value == b.value;
}

u32 Recorder::add(const Step& step) {
  if (steps_.size() >= most_) {
    full_ = true;
    return 0xFFFFFFFFu;
  }
  steps_.push_back(step);
  return static_cast<u32>(steps_.size() - 1);
}

void Recorder::read(const Step& step) {
  if (!open_.empty() && open_.back() == 0xFFFFFFFFu) return;
  const auto& beside = open_.empty() ? roots_ : steps_[open_.back()].from;
  for (const u32 known : beside)
    if (same(steps_[known], step)) return;
  const u32 at = add(step);
  if (at == 0xFFFFFFFFu) return;
  (open_.empty() ? roots_ : steps_[open_.back()].from).push_back(at);
}

void Recorder::open(const Step& step) {
  u32 at = 0xFFFFFFFFu;
  if (open_.empty() || open_.back() != 0xFFFFFFFFu) at = add(step);
  if (at != 0xFFFFFFFFu) (open_.empty() ? roots_ : steps_[open_.back()].from).push_back(at);
  open_.push_back(at);
}

void Recorder::close(Value value) {
  const u32 at = open_.back();
  open_.pop_back();
  if (at != 0xFFFFFFFFu) steps_[at].value = value;
}
}  // namespace dripleg::evaluate
