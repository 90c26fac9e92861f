// Says readings from standard input in one format, without any Arduino.
//
// Usage: PROGRAM FORMAT, with one reading a line: microseconds, running number,
// acceleration, rate, temperature, and whether there are rate and temperature. One
// piece a line goes out, in hexadecimal digits.
#include <HubplumbBoard.h>

#include <cstdio>
#include <iostream>
#include <string>

static void out(const hubplumb::Piece& piece) {
  for (size_t i = 0; i < piece.length(); ++i) std::printf("%02x", piece.bytes()[i]);
  std::printf("\n");
}

template <class Format>
static int say_all() {
  Format format;
  hubplumb::Piece piece;
  format.start(piece);
  out(piece);
  hubplumb::Reading reading;
  while (std::cin >> reading.t_us >> reading.sequence >> reading.accel_g[0] >> reading.accel_g[1] >>
         reading.accel_g[2] >> reading.rate_dps[0] >> reading.rate_dps[1] >> reading.rate_dps[2] >>
         reading.temperature_c >> reading.has_rate >> reading.has_temperature) {
    piece.clear();
    if (format.preface(reading, piece)) {
      out(piece);
      piece.clear();
    }
    format.say(reading, piece);
    out(piece);
  }
  return 0;
}

int main(int count, char** words) {
  const std::string format = count == 2 ? words[1] : "";
  if (format == "csv") return say_all<hubplumb::Csv>();
  if (format == "json-lines") return say_all<hubplumb::Json>();
  if (format == "compact") return say_all<hubplumb::Compact>();
  return 2;
}
