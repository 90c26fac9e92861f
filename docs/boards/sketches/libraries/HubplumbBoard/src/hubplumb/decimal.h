// Numbers as text. The printf of small boards knows no floats.
#ifndef HUBPLUMB_DECIMAL_H
#define HUBPLUMB_DECIMAL_H

#include "reading.h"

namespace hubplumb {

inline void add_whole(Piece& piece, uint64_t number) {
  char digits[20];
  uint8_t count = 0;
  do {
    digits[count++] = static_cast<char>('0' + number % 10);
    number /= 10;
  } while (number > 0);
  while (count > 0) piece.add(static_cast<uint8_t>(digits[--count]));
}

// Rounded to so many decimals. Readings are at most some thousands, which leaves
// room for five decimals in 32 bits.
inline void add_decimal(Piece& piece, float value, uint8_t decimals) {
  uint32_t unit = 1;
  for (uint8_t i = 0; i < decimals; ++i) unit *= 10;
  if (value < 0) {
    piece.add("-");
    value = -value;
  }
  const uint32_t scaled = static_cast<uint32_t>(value * static_cast<float>(unit) + 0.5f);
  add_whole(piece, scaled / unit);
  piece.add(".");
  for (uint32_t place = unit / 10; place > 0; place /= 10)
    piece.add(static_cast<uint8_t>('0' + scaled / place % 10));
}

// Decimals on the wire: finer than the step of every chip here.
enum { ACCEL_DECIMALS = 5, RATE_DECIMALS = 4, TEMPERATURE_DECIMALS = 2 };

}  // namespace hubplumb

#endif
