// SHA-256 of FIPS 180-4: names contents by a number that nobody can aim for. For fingerprints of
// findings and hashes of files; nothing secret passes through it.
#pragma once
#include "base/ids.hpp"

#include <array>
#include <string>
#include <string_view>

namespace dripleg::base {
class Sha256 {
 public:
  void add(std::string_view bytes);
  std::array<u8, 32> finish();   // once, after the last add

 private:
  void take_block(const u8* block);

  std::array<u32, 8> state_{0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a,
                            0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19};
  std::array<u8, 64> waiting_{};
  u64 length_ = 0;               // bytes so far
};

std::string sha256_hex(std::string_view bytes);   // 64 lower-case hexadecimal digits
}  // namespace dripleg::base
