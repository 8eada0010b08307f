#include "commands/json.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include <limits>

using namespace dripleg;
using commands::JsonWriter;

TEST_CASE("json: objects, arrays and their commas") {
  std::string out;
  JsonWriter json(out);
  json.begin_object().member("a", 1).key("b").begin_array().text("x").yes_no(true).null().begin_object().end_object().end_array();
  json.key("c").begin_array().end_array().member("d", 0.1).end_object().finish();
  CHECK(out ==
        "{\n  \"a\": 1,\n  \"b\": [\n    \"x\",\n    true,\n    null,\n    {}\n  ],\n  \"c\": [],\n  \"d\": 0.1\n}\n");
}

TEST_CASE("json: every character comes back from an independent reader") {
  std::string all;
  for (int c = 0; c < 128; ++c) all += static_cast<char>(c);
  all += "µ€\u2028\U0001F600 \\u0000 \"quoted\"";
  std::string out;
  JsonWriter json(out);
  json.begin_object().member("text", all).member(all, "key").end_object();
  const auto read = nlohmann::json::parse(out);
  CHECK(read["text"].get<std::string>() == all);
  CHECK(read[all].get<std::string>() == "key");
}

TEST_CASE("json: bytes that are no text are replaced") {
  std::string out;
  JsonWriter(out).text("a\xC0\xAF z\xED\xA0\x80");
  CHECK(nlohmann::json::parse(out).get<std::string>() == "a\uFFFD\uFFFD z\uFFFD\uFFFD\uFFFD");
}

TEST_CASE("json: numbers read back bit for bit; what is not finite is null") {
  for (const double value : {0.1, 1.0 / 3, 1e-300, 1.7976931348623157e308, -2.5, 14600.0}) {
    std::string out;
    JsonWriter(out).number(value);
    CHECK(nlohmann::json::parse(out).get<double>() == value);
  }
  std::string out;
  JsonWriter(out).number(std::numeric_limits<double>::infinity());
  CHECK(out == "null");
  out.clear();
  JsonWriter(out).number(-0.0);
  CHECK(out == "0");
  out.clear();
  JsonWriter(out).begin_object().member("big", u64{18446744073709551615u}).end_object();
  CHECK(nlohmann::json::parse(out)["big"].get<u64>() == 18446744073709551615u);
}
