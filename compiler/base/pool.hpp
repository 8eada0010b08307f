// An array that may begin in read-only memory (the library's image) and go on in memory of its own.
// Elements below base_size() are never changed; indices stay valid for ever; elements are plain data.
#pragma once
#include "base/ids.hpp"

#include <span>
#include <type_traits>
#include <vector>

namespace dripleg::base {
template <class T>
class Pool {
  static_assert(std::is_trivially_copyable_v<T>);

 public:
  Pool() = default;
  explicit Pool(std::span<const T> fixed) : fixed_(fixed) {}

  u32 size() const { return static_cast<u32>(fixed_.size() + own_.size()); }
  u32 base_size() const { return static_cast<u32>(fixed_.size()); }
  bool empty() const { return size() == 0; }

  const T& operator[](u32 at) const {
    return at < fixed_.size() ? fixed_[at] : own_[at - fixed_.size()];
  }
  // Only for elements that were appended here.
  T& edit(u32 at) { return own_[at - fixed_.size()]; }

  u32 push(const T& value) {
    own_.push_back(value);
    return size() - 1;
  }
  template <class Range>
  u32 append(const Range& values) {
    const u32 first = size();
    own_.insert(own_.end(), std::begin(values), std::end(values));
    return first;
  }
  // A stretch that lies wholly on one side of the border (whatever was appended in one call does).
  std::span<const T> slice(u32 first, u32 count) const {
    if (count == 0) return {};
    return first < fixed_.size() ? fixed_.subspan(first, count)
                                 : std::span<const T>(own_).subspan(first - fixed_.size(), count);
  }
  // From now on every element may be edited; the read-only part is copied.
  void take_over() {
    if (fixed_.empty()) return;
    own_.insert(own_.begin(), fixed_.begin(), fixed_.end());
    fixed_ = {};
  }
  void reserve(u32 more) { own_.reserve(own_.size() + more); }
  void shrink_to(u32 new_size) { own_.resize(new_size - fixed_.size()); }

 private:
  std::span<const T> fixed_;
  std::vector<T> own_;
};
}  // namespace dripleg::base
