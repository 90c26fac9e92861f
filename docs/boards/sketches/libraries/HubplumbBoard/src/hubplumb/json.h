// One JSON object a line.
#ifndef HUBPLUMB_JSON_H
#define HUBPLUMB_JSON_H

#include "decimal.h"

namespace hubplumb {

class Json {
 public:
  void start(Piece& piece) { piece.add("\r\n"); }

  bool preface(const Reading&, Piece&) { return false; }

  void say(const Reading& reading, Piece& piece) {
    piece.add("{\"t_us\":");
    add_whole(piece, reading.t_us);
    piece.add(",\"seq\":");
    add_whole(piece, reading.sequence);
    add_three(piece, ",\"accel_g\":[", reading.accel_g, ACCEL_DECIMALS);
    if (reading.has_rate) add_three(piece, ",\"gyro_dps\":[", reading.rate_dps, RATE_DECIMALS);
    if (reading.has_temperature) {
      piece.add(",\"temp\":");
      add_decimal(piece, reading.temperature_c, TEMPERATURE_DECIMALS);
    }
    piece.add("}\r\n");
  }

 private:
  static void add_three(Piece& piece, const char* key, const float* values, uint8_t decimals) {
    piece.add(key);
    for (int i = 0; i < 3; ++i) {
      if (i > 0) piece.add(",");
      add_decimal(piece, values[i], decimals);
    }
    piece.add("]");
  }
};

}  // namespace hubplumb

#endif
