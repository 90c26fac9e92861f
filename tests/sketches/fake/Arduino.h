// As much of Arduino as the sketches use.
#ifndef FAKE_ARDUINO_H
#define FAKE_ARDUINO_H

#include "world.h"

// 32 bits, as on every board.
inline uint32_t micros() { return static_cast<uint32_t>(world::look()); }
inline uint32_t millis() { return static_cast<uint32_t>(world::look() / 1000); }

inline void delay(unsigned long) {
  std::fputs("a sketch that waits drifts: delay() was called\n", stderr);
  std::exit(3);
}

class FakeSerial {
 public:
  void begin(unsigned long baud) { std::printf("baud %lu\n", baud); }
  size_t write(const uint8_t* bytes, size_t length) {
    world::sent("serial", bytes, length);
    return length;
  }
};

extern FakeSerial Serial;

void setup();
void loop();

#endif
