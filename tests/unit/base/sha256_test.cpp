#include "base/sha256.hpp"

#include <doctest/doctest.h>

using namespace dripleg;

// Messages and digests: the examples that NIST publishes for FIPS 180-4 (SHA-256: one block, two
// blocks, one million times `a`) and the short-message file of its test system (length 0).
TEST_CASE("sha256 of the published messages") {
  CHECK(base::sha256_hex("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(base::sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(base::sha256_hex("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(base::sha256_hex(std::string(1000000, 'a')) == "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("sha256 does not depend on how the bytes are cut") {
  std::string text;
  for (int i = 0; i < 300; ++i) text += static_cast<char>('a' + i % 26);
  for (std::size_t cut = 0; cut <= text.size(); ++cut) {
    base::Sha256 hash;
    hash.add(std::string_view(text).substr(0, cut));
    hash.add(std::string_view(text).substr(cut));
    base::Sha256 whole;
    whole.add(text);
    REQUIRE(hash.finish() == whole.finish());
  }
}

TEST_CASE("sha256 of lengths around a block") {
  CHECK(base::sha256_hex(std::string(55, 'x')) != base::sha256_hex(std::string(56, 'x')));
  CHECK(base::sha256_hex(std::string(63, 'x')) != base::sha256_hex(std::string(64, 'x')));
  CHECK(base::sha256_hex(std::string("a\0b", 3)) != base::sha256_hex("a"));
}
