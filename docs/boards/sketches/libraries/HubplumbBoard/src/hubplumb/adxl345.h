// ADXL345 at 100 Hz in full resolution, +-2 g: an accelerometer without gyro and thermometer.
// Registers and 256 counts per g: from memory; limits 230 to 282 counts per g.
#ifndef HUBPLUMB_ADXL345_H
#define HUBPLUMB_ADXL345_H

#include "sensor.h"

namespace hubplumb {

struct Adxl345 {
  enum { LOWER_ADDRESS = 0x1D, ADDRESS_STEP = 0x53 - 0x1D, ID_REGISTER = 0x00 };
  enum { STATUS_REGISTER = 0x30, STATUS_MASK = 0x80 };
  enum { FIRST_REGISTER = 0x32, BURST = 6 };
  enum { ID = 0xE5 };

  static bool is_known(uint8_t id) { return id == ID; }

  static const Setting* settings(uint8_t& count) {
    static const Setting all[] = {
        {0x2C, 0x0A},  // 100 Hz
        {0x31, 0x08},  // full resolution, +-2 g
        {0x2D, 0x08},  // measure
    };
    count = sizeof all / sizeof all[0];
    return all;
  }

  static void decode(const uint8_t* bytes, uint8_t, Reading& reading) {
    for (int i = 0; i < 3; ++i) {
      reading.accel_g[i] = little_endian(bytes + 2 * i) / 256.0f;
      reading.rate_dps[i] = 0;
    }
    reading.temperature_c = 0;
    reading.has_rate = false;
    reading.has_temperature = false;
  }
};

}  // namespace hubplumb

#endif
