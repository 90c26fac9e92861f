// Compact binary frames. The format is told in docs/formats/compact.md.
#ifndef HUBPLUMB_COMPACT_H
#define HUBPLUMB_COMPACT_H

#include "reading.h"

namespace hubplumb {

class Compact {
 public:
  // One zero cuts off whatever a boot loader said.
  void start(Piece& piece) { piece.add(static_cast<uint8_t>(0)); }

  bool preface(const Reading&, Piece&) { return false; }

  void say(const Reading& reading, Piece& piece) {
    Words words;
    words.count = 0;
    const uint8_t accel = scale_of(reading.accel_g, LEAST_ACCEL_G, ACCEL_SCALES);
    const uint8_t rate =
        reading.has_rate ? scale_of(reading.rate_dps, LEAST_RATE_DPS, RATE_SCALES) : 0;
    words.byte(static_cast<uint8_t>(VERSION << 4 | HAS_ACCEL | (reading.has_rate ? HAS_RATE : 0) |
                                    (reading.has_temperature ? HAS_TEMPERATURE : 0)));
    words.byte(static_cast<uint8_t>(rate << 4 | accel));
    words.word(reading.sequence);
    words.word(static_cast<uint16_t>(reading.t_us));
    words.word(static_cast<uint16_t>(reading.t_us >> 16));
    for (int i = 0; i < 3; ++i) words.word(counts(reading.accel_g[i], LEAST_ACCEL_G, accel));
    if (reading.has_rate)
      for (int i = 0; i < 3; ++i) words.word(counts(reading.rate_dps[i], LEAST_RATE_DPS, rate));
    if (reading.has_temperature)
      words.word(rounded(reading.temperature_c * TEMPERATURE_COUNTS_PER_C));
    words.word(check(words));
    stuff(words, piece);
  }

 private:
  enum { VERSION = 1, HAS_ACCEL = 1, HAS_RATE = 2, HAS_TEMPERATURE = 8 };
  enum { ACCEL_SCALES = 5, RATE_SCALES = 6, TEMPERATURE_COUNTS_PER_C = 100 };
  enum { LEAST_ACCEL_G = 2, LEAST_RATE_DPS = 125, COUNTS = 32768 };
  // Head, scales, number, clock, two triples, temperature, check.
  enum { MOST_WORD_BYTES = 24 };

  struct Words {
    uint8_t bytes[MOST_WORD_BYTES];
    uint8_t count;
    void byte(uint8_t value) { bytes[count++] = value; }
    void word(uint16_t value) {
      byte(static_cast<uint8_t>(value));
      byte(static_cast<uint8_t>(value >> 8));
    }
  };

  // The finest scale that holds all three: each is twice the one before.
  static uint8_t scale_of(const float* values, uint16_t least, uint8_t scales) {
    float largest = 0;
    for (int i = 0; i < 3; ++i) {
      const float size = values[i] < 0 ? -values[i] : values[i];
      if (size > largest) largest = size;
    }
    float full = least;
    uint8_t scale = 0;
    while (scale + 1 < scales && largest > full * (COUNTS - 1) / COUNTS) {
      full *= 2;
      ++scale;
    }
    return scale;
  }

  static uint16_t counts(float value, uint16_t least, uint8_t scale) {
    return rounded(value / static_cast<float>(static_cast<uint32_t>(least) << scale) * COUNTS);
  }

  static uint16_t rounded(float value) {
    if (value >= COUNTS - 1) return COUNTS - 1;
    if (value <= -COUNTS) return COUNTS;
    const int16_t whole = static_cast<int16_t>(value < 0 ? value - 0.5f : value + 0.5f);
    return static_cast<uint16_t>(whole);
  }

  // CRC-16/IBM-3740.
  static uint16_t check(const Words& words) {
    uint16_t check = 0xFFFF;
    for (uint8_t i = 0; i < words.count; ++i) {
      check = static_cast<uint16_t>(check ^ static_cast<uint16_t>(words.bytes[i] << 8));
      for (int bit = 0; bit < 8; ++bit)
        check = static_cast<uint16_t>(check & 0x8000 ? check << 1 ^ 0x1021 : check << 1);
    }
    return check;
  }

  // COBS for fewer than 254 bytes, and the zero behind.
  static void stuff(const Words& words, Piece& piece) {
    uint8_t from = 0;
    for (uint8_t at = 0; at <= words.count; ++at) {
      if (at < words.count && words.bytes[at] != 0) continue;
      piece.add(static_cast<uint8_t>(at - from + 1));
      for (uint8_t i = from; i < at; ++i) piece.add(words.bytes[i]);
      from = static_cast<uint8_t>(at + 1);
    }
    piece.add(static_cast<uint8_t>(0));
  }
};

}  // namespace hubplumb

#endif
