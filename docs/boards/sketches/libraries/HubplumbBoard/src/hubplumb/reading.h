// One reading of a chip, in the units that go over the wire.
#ifndef HUBPLUMB_READING_H
#define HUBPLUMB_READING_H

#include <stddef.h>
#include <stdint.h>

namespace hubplumb {

struct Reading {
  uint64_t t_us;         // the board's clock when the sensor was read, microseconds
  uint16_t sequence;     // one more with each reading
  float accel_g[3];      // with gravity: lying still with z up reads 0, 0, +1
  float rate_dps[3];     // right-handed, degrees per second
  float temperature_c;
  bool has_rate;
  bool has_temperature;
};

// Longest piece that any format makes of one reading, bytes.
enum { MOST_BYTES = 192 };

// Bytes of one piece, collected without a heap.
class Piece {
 public:
  Piece() : length_(0) {}
  void add(uint8_t byte) {
    if (length_ < MOST_BYTES) bytes_[length_++] = byte;
  }
  void add(const char* text) {
    for (; *text; ++text) add(static_cast<uint8_t>(*text));
  }
  void clear() { length_ = 0; }
  const uint8_t* bytes() const { return bytes_; }
  size_t length() const { return length_; }

 private:
  uint8_t bytes_[MOST_BYTES];
  size_t length_;
};

}  // namespace hubplumb

#endif
