#include "base/sha256.hpp"

#include <algorithm>
#include <bit>
#include <cstring>

namespace dripleg::base {
namespace {
constexpr std::array<u32, 64> round_constants{
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

u32 big_endian(const u8* at) {
  return (u32{at[0]} << 24) | (u32{at[1]} << 16) | (u32{at[2]} << 8) | u32{at[3]};
}
}  // namespace

void Sha256::take_block(const u8* block) {
  std::array<u32, 64> w;
  for (std::size_t t = 0; t < 16; ++t) w[t] = big_endian(block + 4 * t);
  for (std::size_t t = 16; t < 64; ++t) {
    const u32 s0 = std::rotr(w[t - 15], 7) ^ std::rotr(w[t - 15], 18) ^ (w[t - 15] >> 3);
    const u32 s1 = std::rotr(w[t - 2], 17) ^ std::rotr(w[t - 2], 19) ^ (w[t - 2] >> 10);
    w[t] = w[t - 16] + s0 + w[t - 7] + s1;
  }
  auto [a, b, c, d, e, f, g, h] = state_;
  for (std::size_t t = 0; t < 64; ++t) {
    const u32 s1 = std::rotr(e, 6) ^ std::rotr(e, 11) ^ std::rotr(e, 25);
    const u32 first = h + s1 + ((e & f) ^ (~e & g)) + round_constants[t] + w[t];
    const u32 s0 = std::rotr(a, 2) ^ std::rotr(a, 13) ^ std::rotr(a, 22);
    const u32 second = s0 + ((a & b) ^ (a & c) ^ (b & c));
    h = g;
    g = f;
    f = e;
    e = d + first;
    d = c;
    c = b;
    b = a;
    a = first + second;
  }
  const std::array<u32, 8> more{a, b, c, d, e, f, g, h};
  for (std::size_t i = 0; i < 8; ++i) state_[i] += more[i];
}

void Sha256::add(std::string_view bytes) {
  while (!bytes.empty()) {
    const std::size_t held = length_ % 64;
    const std::size_t taken = std::min<std::size_t>(64 - held, bytes.size());
    std::memcpy(waiting_.data() + held, bytes.data(), taken);
    length_ += taken;
    bytes.remove_prefix(taken);
    if (held + taken == 64) take_block(waiting_.data());
  }
}

std::array<u8, 32> Sha256::finish() {
  const u64 bits = length_ * 8;
  const std::size_t held = length_ % 64;
  std::string padding(held < 56 ? 56 - held : 120 - held, '\0');
  padding[0] = static_cast<char>(0x80);
  for (int shift = 56; shift >= 0; shift -= 8) padding += static_cast<char>(bits >> shift);
  add(padding);
  std::array<u8, 32> digest;
  for (std::size_t i = 0; i < 32; ++i) digest[i] = static_cast<u8>(state_[i / 4] >> (24 - 8 * (i % 4)));
  return digest;
}

std::string sha256_hex(std::string_view bytes) {
  Sha256 hash;
  hash.add(bytes);
  constexpr char digits[] = "0123456789abcdef";
  std::string hex;
  for (const u8 byte : hash.finish()) {
    hex += digits[byte >> 4];
    hex += digits[byte & 15];
  }
  return hex;
}
}  // namespace dripleg::base
