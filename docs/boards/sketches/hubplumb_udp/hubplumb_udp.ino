// An ESP32 on Wi-Fi that sends each reading as a datagram.
// Wiring and cautions: docs/boards of hubplumb. Reached as `port = "udp:0.0.0.0:8720/BOARD_ADDRESS"`.
#include <HubplumbBoard.h>
#include <WiFi.h>
#include <WiFiUdp.h>
#include <Wire.h>

// Your chip: Mpu6050, Lsm6ds3 or Adxl345.
#ifndef HUBPLUMB_CHIP
#define HUBPLUMB_CHIP Mpu6050
#endif

// What is sent: Compact, Csv or Json. A lost datagram takes a CSV header with it; it comes again.
#ifndef HUBPLUMB_FORMAT
#define HUBPLUMB_FORMAT Compact
#endif

const char* const NETWORK = "name of your network";
const char* const PASSWORD = "its password";
// The computer that runs hubplumb. A fixed address saves looking it up.
const IPAddress COMPUTER(192, 168, 1, 10);
const uint16_t PORT = 8720;

hubplumb::Sensor<TwoWire, hubplumb::HUBPLUMB_CHIP> sensor(Wire);
hubplumb::HUBPLUMB_FORMAT format;
hubplumb::Clock device_clock;
hubplumb::Reading reading;
hubplumb::Piece piece;
WiFiUDP udp;
bool found = false;
unsigned long tried_ms = 0;

void send_piece() {
  udp.beginPacket(COMPUTER, PORT);
  udp.write(piece.bytes(), piece.length());
  udp.endPacket();
  piece.clear();
}

void setup() {
  Wire.begin();
  Wire.setClock(400000);
  WiFi.mode(WIFI_STA);
  WiFi.begin(NETWORK, PASSWORD);
  // A radio that sleeps between beacons sends in bunches, a tenth of a second late.
  WiFi.setSleep(false);
  udp.begin(PORT);
  found = sensor.begin();
}

void loop() {
  if (!found) {
    if (millis() - tried_ms < 1000) return;
    tried_ms = millis();
    found = sensor.begin();
    return;
  }
  // The chip sets the pace: no waiting here, so no drift.
  if (!sensor.ready()) return;
  reading.t_us = device_clock.carry_on(micros());
  if (!sensor.read(reading)) {
    found = false;
    return;
  }
  // The radio joins again by itself.
  if (WiFi.status() != WL_CONNECTED) return;
  if (format.preface(reading, piece)) send_piece();
  format.say(reading, piece);
  send_piece();
  reading.sequence++;
}
