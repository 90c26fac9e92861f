// The made-up world around a sketch: a clock that only runs when somebody looks or
// uses the bus, one chip on the I2C bus, and a log of everything that is sent.
#ifndef FAKE_WORLD_H
#define FAKE_WORLD_H

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <deque>
#include <string>
#include <vector>

namespace world {

struct Measured {
  int temperature;
  int accel[3];
  int rate[3];
};

// A chip as its data sheet tells its registers, written apart from the sketches' own tables.
struct Chip {
  uint8_t address = 0;
  uint8_t registers[256] = {};
  uint8_t status_register = 0, status_bits = 0;
  uint8_t first = 0, length = 0;
  bool big_endian = false;
  // Places of temperature, acceleration and rate behind `first`; below zero if there is none.
  int temperature_at = -1, accel_at = 0, rate_at = -1;
  // It measures when these registers hold these values under these masks.
  struct Needed {
    uint8_t at, mask, value;
  };
  std::vector<Needed> needed;
  uint64_t period_us = 10000;
  uint64_t next_us = 0;
  bool pending = false;
  uint64_t absent_until_us = 0;
  uint8_t pointer = 0;
};

extern uint64_t now_us;
extern Chip chip;
extern std::deque<Measured> to_measure;
// Looks at the clock since the last reading was taken; a sketch that stops reading is noticed.
extern unsigned idle_looks;

inline void spend(uint64_t us) { now_us += us; }

inline uint64_t look() {
  spend(3);
  if (++idle_looks > 2000000) {
    std::fputs("the sketch reads no more\n", stderr);
    std::exit(4);
  }
  return now_us;
}

inline void sent(const char* by, const uint8_t* bytes, size_t length) {
  std::printf("%s ", by);
  for (size_t i = 0; i < length; ++i) std::printf("%02x", bytes[i]);
  std::printf("\n");
}

}  // namespace world

#endif
