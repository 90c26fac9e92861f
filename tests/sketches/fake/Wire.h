// Arduino's I2C bus with the made-up chip on it.
#ifndef FAKE_WIRE_H
#define FAKE_WIRE_H

#include "Arduino.h"

class TwoWire {
 public:
  void begin() { begun_ = true; }
  void setClock(uint32_t) {}
  void beginTransmission(uint8_t address) {
    address_ = address;
    written_.clear();
  }
  size_t write(uint8_t byte) {
    written_.push_back(byte);
    return 1;
  }
  // 2: nobody answers at this address.
  uint8_t endTransmission(bool stop = true);
  uint8_t requestFrom(uint8_t address, uint8_t count);
  int read();

 private:
  bool answers(uint8_t address) const;

  bool begun_ = false;
  uint8_t address_ = 0;
  std::vector<uint8_t> written_;
  std::deque<uint8_t> fetched_;
};

extern TwoWire Wire;

#endif
