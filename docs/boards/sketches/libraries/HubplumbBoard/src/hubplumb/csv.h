// Lines of numbers, with a header that comes again now and then for a listener that came late.
#ifndef HUBPLUMB_CSV_H
#define HUBPLUMB_CSV_H

#include "decimal.h"

namespace hubplumb {

class Csv {
 public:
  Csv() : until_header_(0) {}

  // What is sent before the first reading: whatever a boot loader said ends here.
  void start(Piece& piece) { piece.add("\r\n"); }

  // Is the header due before this reading? It is a piece of its own.
  bool preface(const Reading& reading, Piece& piece) {
    if (until_header_-- > 0) return false;
    until_header_ = LINES_BETWEEN_HEADERS;
    piece.add("t_us,ax,ay,az");
    if (reading.has_rate) piece.add(",gx,gy,gz");
    if (reading.has_temperature) piece.add(",temp");
    piece.add("\r\n");
    return true;
  }

  void say(const Reading& reading, Piece& piece) {
    add_whole(piece, reading.t_us);
    for (int i = 0; i < 3; ++i) add_column(piece, reading.accel_g[i], ACCEL_DECIMALS);
    if (reading.has_rate)
      for (int i = 0; i < 3; ++i) add_column(piece, reading.rate_dps[i], RATE_DECIMALS);
    if (reading.has_temperature)
      add_column(piece, reading.temperature_c, TEMPERATURE_DECIMALS);
    piece.add("\r\n");
  }

 private:
  enum { LINES_BETWEEN_HEADERS = 200 };

  static void add_column(Piece& piece, float value, uint8_t decimals) {
    piece.add(",");
    add_decimal(piece, value, decimals);
  }

  int16_t until_header_;
};

}  // namespace hubplumb

#endif
