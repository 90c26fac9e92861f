// LSM6DS3 and its kin (LSM6DS3TR-C, LSM6DSO, LSM6DSOX) at 104 Hz, +-2 g, +-245/250 deg/s.
// Registers: from memory. Sensitivities: DocID026899 r4, p. 19, and DS12140 r2, p. 9.
#ifndef HUBPLUMB_LSM6DS3_H
#define HUBPLUMB_LSM6DS3_H

#include "sensor.h"

namespace hubplumb {

struct Lsm6ds3 {
  enum { LOWER_ADDRESS = 0x6A, ADDRESS_STEP = 1, ID_REGISTER = 0x0F };
  enum { STATUS_REGISTER = 0x1E, STATUS_MASK = 0x03 };
  // Temperature, rate, acceleration, one behind the other.
  enum { FIRST_REGISTER = 0x20, BURST = 14 };
  enum { ID_DS3 = 0x69, ID_DS3TR_C = 0x6A, ID_DSO = 0x6C };

  static bool is_known(uint8_t id) { return id == ID_DS3 || id == ID_DS3TR_C || id == ID_DSO; }

  static const Setting* settings(uint8_t& count) {
    static const Setting all[] = {
        {0x12, 0x44},  // whole readings only, register number counts on
        {0x10, 0x40},  // 104 Hz, +-2 g
        {0x11, 0x40},  // 104 Hz, +-245/250 deg/s
    };
    count = sizeof all / sizeof all[0];
    return all;
  }

  static void decode(const uint8_t* bytes, uint8_t id, Reading& reading) {
    for (int i = 0; i < 3; ++i) {
      reading.rate_dps[i] = little_endian(bytes + 2 + 2 * i) * 8.75e-3f;
      reading.accel_g[i] = little_endian(bytes + 8 + 2 * i) * 0.061e-3f;
    }
    const float counts_per_c = id == ID_DS3 ? 16.0f : 256.0f;
    reading.temperature_c = 25.0f + little_endian(bytes) / counts_per_c;
    reading.has_rate = true;
    reading.has_temperature = true;
  }
};

}  // namespace hubplumb

#endif
