// A chip behind an I2C bus. `Bus` is the type of Arduino's `Wire`; `Chip` says what
// the registers are.
#ifndef HUBPLUMB_SENSOR_H
#define HUBPLUMB_SENSOR_H

#include "reading.h"

namespace hubplumb {

// A register and what is written into it.
struct Setting {
  uint8_t at;
  uint8_t value;
};

enum { MOST_BURST = 14 };

template <class Bus, class Chip>
class Sensor {
 public:
  explicit Sensor(Bus& bus) : bus_(bus), address_(0), id_(0) {}

  // Finds the chip at one of its two addresses and sets it up.
  bool begin() {
    for (uint8_t i = 0; i < 2; ++i) {
      address_ = static_cast<uint8_t>(Chip::LOWER_ADDRESS + i * Chip::ADDRESS_STEP);
      if (fetch(Chip::ID_REGISTER, &id_, 1) && Chip::is_known(id_)) return set_up();
    }
    return false;
  }

  // Has the chip measured since it was read last? The chip's own oscillator sets the rate.
  bool ready() {
    uint8_t status = 0;
    return fetch(Chip::STATUS_REGISTER, &status, 1) &&
           (status & Chip::STATUS_MASK) == Chip::STATUS_MASK;
  }

  bool read(Reading& reading) {
    uint8_t bytes[MOST_BURST];
    if (!fetch(Chip::FIRST_REGISTER, bytes, Chip::BURST)) return false;
    Chip::decode(bytes, id_, reading);
    return true;
  }

 private:
  bool set_up() {
    uint8_t count = 0;
    const Setting* settings = Chip::settings(count);
    for (uint8_t i = 0; i < count; ++i) {
      bus_.beginTransmission(address_);
      bus_.write(settings[i].at);
      bus_.write(settings[i].value);
      if (bus_.endTransmission() != 0) return false;
    }
    return true;
  }

  bool fetch(uint8_t from, uint8_t* bytes, uint8_t count) {
    bus_.beginTransmission(address_);
    bus_.write(from);
    // Keeps the bus: a stop in between would let the chip forget the register.
    if (bus_.endTransmission(false) != 0) return false;
    if (bus_.requestFrom(address_, count) != count) return false;
    for (uint8_t i = 0; i < count; ++i) bytes[i] = static_cast<uint8_t>(bus_.read());
    return true;
  }

  Bus& bus_;
  uint8_t address_;
  uint8_t id_;
};

inline int16_t big_endian(const uint8_t* bytes) {
  return static_cast<int16_t>(static_cast<uint16_t>(bytes[0]) << 8 | bytes[1]);
}

inline int16_t little_endian(const uint8_t* bytes) {
  return static_cast<int16_t>(static_cast<uint16_t>(bytes[1]) << 8 | bytes[0]);
}

}  // namespace hubplumb

#endif
