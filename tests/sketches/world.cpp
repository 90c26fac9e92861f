// Runs the sketch SKETCH in the made-up world.
//
// Usage: PROGRAM CHIP START_US ABSENT_UNTIL_US, with one reading a line on standard
// input: counts of temperature, acceleration x y z and rate x y z.
#include "fake/world.h"

#include <cstring>
#include <iostream>

#include "fake/BLEDevice.h"
#include "fake/WiFi.h"
#include "fake/Wire.h"

namespace world {

uint64_t now_us = 0;
Chip chip;
std::deque<Measured> to_measure;
unsigned idle_looks = 0;

// Registers and reset values: from memory, as the data sheets tell them.
static bool choose(const std::string& name) {
  if (name == "mpu6050") {
    chip.address = 0x68;
    chip.registers[0x75] = 0x68;
    chip.registers[0x6B] = 0x40;
    chip.status_register = 0x3A;
    chip.status_bits = 0x01;
    chip.first = 0x3B;
    chip.length = 14;
    chip.big_endian = true;
    chip.accel_at = 0;
    chip.temperature_at = 6;
    chip.rate_at = 8;
    // Awake; 100 a second behind the filter; the finest scales.
    chip.needed = {{0x6B, 0x40, 0}, {0x1A, 0x07, 3}, {0x19, 0xFF, 9}, {0x1B, 0x18, 0}, {0x1C, 0x18, 0}};
    return true;
  }
  if (name == "lsm6ds3" || name == "lsm6dso") {
    // Boards tie the address pin to either level.
    chip.address = name == "lsm6dso" ? 0x6A : 0x6B;
    chip.registers[0x0F] = name == "lsm6dso" ? 0x6C : 0x69;
    chip.registers[0x12] = 0x04;
    chip.status_register = 0x1E;
    chip.status_bits = 0x07;
    chip.first = 0x20;
    chip.length = 14;
    chip.temperature_at = 0;
    chip.rate_at = 2;
    chip.accel_at = 8;
    chip.period_us = 9615;
    // 104 a second, the finest usual scales; no reading that changes while it is fetched.
    chip.needed = {{0x10, 0xFC, 0x40}, {0x11, 0xFE, 0x40}, {0x12, 0x44, 0x44}};
    return true;
  }
  if (name == "adxl345") {
    chip.address = 0x53;
    chip.registers[0x00] = 0xE5;
    chip.status_register = 0x30;
    chip.status_bits = 0x80;
    chip.first = 0x32;
    chip.length = 6;
    chip.accel_at = 0;
    // 100 a second, full resolution, measuring.
    chip.needed = {{0x2C, 0x1F, 0x0A}, {0x31, 0x0B, 0x08}, {0x2D, 0x08, 0x08}};
    return true;
  }
  return false;
}

static void put(int at, int counts) {
  if (at < 0) return;
  const uint16_t word = static_cast<uint16_t>(counts);
  const uint8_t high = static_cast<uint8_t>(word >> 8), low = static_cast<uint8_t>(word);
  chip.registers[chip.first + at] = chip.big_endian ? high : low;
  chip.registers[chip.first + at + 1] = chip.big_endian ? low : high;
}

static void measure() {
  for (const Chip::Needed& needed : chip.needed)
    if ((chip.registers[needed.at] & needed.mask) != needed.value) return;
  if (chip.next_us == 0) chip.next_us = now_us + chip.period_us;
  while (now_us >= chip.next_us && !to_measure.empty()) {
    if (chip.pending) {
      std::fputs("a reading was not fetched before the next\n", stderr);
      std::exit(5);
    }
    chip.next_us += chip.period_us;
    const Measured& measured = to_measure.front();
    put(chip.temperature_at, measured.temperature);
    for (int i = 0; i < 3; ++i) {
      put(chip.accel_at + 2 * i, measured.accel[i]);
      if (chip.rate_at >= 0) put(chip.rate_at + 2 * i, measured.rate[i]);
    }
    to_measure.pop_front();
    chip.registers[chip.status_register] |= chip.status_bits;
    chip.pending = true;
  }
}

}  // namespace world

using world::chip;

FakeSerial Serial;
TwoWire Wire;
FakeWiFi WiFi;
static BLEServer* ble_server = nullptr;

BLEServer* BLEDevice::createServer() { return ble_server = new BLEServer(); }

bool TwoWire::answers(uint8_t address) const {
  return begun_ && address == chip.address && world::now_us >= chip.absent_until_us;
}

uint8_t TwoWire::endTransmission(bool) {
  // Nine clocks a byte at 400 kHz.
  world::spend(23 * (1 + written_.size()));
  world::measure();
  if (!answers(address_)) return 2;
  if (!written_.empty()) chip.pointer = written_[0];
  for (size_t i = 1; i < written_.size(); ++i) chip.registers[chip.pointer++] = written_[i];
  return 0;
}

uint8_t TwoWire::requestFrom(uint8_t address, uint8_t count) {
  world::spend(23 * (1 + count));
  fetched_.clear();
  if (!answers(address)) return 0;
  for (uint8_t i = 0; i < count; ++i) {
    const uint8_t at = static_cast<uint8_t>(chip.pointer + i);
    fetched_.push_back(chip.registers[at]);
    if (at == chip.first + chip.length - 1) {
      chip.registers[chip.status_register] &= static_cast<uint8_t>(~chip.status_bits);
      chip.pending = false;
      world::idle_looks = 0;
    }
  }
  return count;
}

int TwoWire::read() {
  if (fetched_.empty()) return -1;
  const int byte = fetched_.front();
  fetched_.pop_front();
  return byte;
}

#include SKETCH

int main(int count, char** words) {
  if (count != 4 || !world::choose(words[1])) return 2;
  world::now_us = std::strtoull(words[2], nullptr, 10);
  chip.absent_until_us = world::now_us + std::strtoull(words[3], nullptr, 10);
  world::Measured measured;
  while (std::cin >> measured.temperature >> measured.accel[0] >> measured.accel[1] >>
         measured.accel[2] >> measured.rate[0] >> measured.rate[1] >> measured.rate[2])
    world::to_measure.push_back(measured);
  setup();
  if (ble_server) ble_server->connect(true);
  while (!world::to_measure.empty() || chip.pending) {
    // What the loop itself costs, and the core around it.
    world::look();
    loop();
  }
  return 0;
}
