// MPU-6050 and its kin (MPU-6500, MPU-9250 and clones) at 100 Hz, +-2 g, +-250 deg/s.
// Registers: from memory. Sensitivities: PS-MPU-6000A r3.4, p. 12-14.
#ifndef HUBPLUMB_MPU6050_H
#define HUBPLUMB_MPU6050_H

#include "sensor.h"

namespace hubplumb {

struct Mpu6050 {
  enum { LOWER_ADDRESS = 0x68, ADDRESS_STEP = 1, ID_REGISTER = 0x75 };
  enum { STATUS_REGISTER = 0x3A, STATUS_MASK = 0x01 };
  enum { FIRST_REGISTER = 0x3B, BURST = 14 };
  enum { ID_6050 = 0x68, ID_6500 = 0x70, ID_9250 = 0x71, ID_6052 = 0x72, ID_9255 = 0x73 };

  // Clones answer with other numbers; add yours here.
  static bool is_known(uint8_t id) { return id == ID_6050 || is_later(id); }

  static const Setting* settings(uint8_t& count) {
    static const Setting all[] = {
        {0x6B, 0x01},  // awake, clock from the gyro
        {0x1A, 0x03},  // filter at 44 Hz, inner rate 1 kHz
        {0x19, 0x09},  // 1 kHz / (1 + 9) = 100 Hz
        {0x1B, 0x00},  // +-250 deg/s
        {0x1C, 0x00},  // +-2 g
    };
    count = sizeof all / sizeof all[0];
    return all;
  }

  static void decode(const uint8_t* bytes, uint8_t id, Reading& reading) {
    for (int i = 0; i < 3; ++i) {
      reading.accel_g[i] = big_endian(bytes + 2 * i) / 16384.0f;
      reading.rate_dps[i] = big_endian(bytes + 8 + 2 * i) / 131.0f;
    }
    const float heat = big_endian(bytes + 6);
    // The later chips have another thermometer (from memory).
    reading.temperature_c = is_later(id) ? heat / 333.87f + 21.0f : heat / 340.0f + 36.53f;
    reading.has_rate = true;
    reading.has_temperature = true;
  }

 private:
  static bool is_later(uint8_t id) { return id >= ID_6500 && id <= ID_9255; }
};

}  // namespace hubplumb

#endif
