// An ESP32 on Wi-Fi that waits to be called by hubplumb.
// Wiring and cautions: docs/boards of hubplumb. Reached as `port = "tcp:BOARD_ADDRESS:8721"`.
#include <HubplumbBoard.h>
#include <WiFi.h>
#include <Wire.h>

// Your chip: Mpu6050, Lsm6ds3 or Adxl345.
#ifndef HUBPLUMB_CHIP
#define HUBPLUMB_CHIP Mpu6050
#endif

// What is sent: Csv, Json or Compact.
#ifndef HUBPLUMB_FORMAT
#define HUBPLUMB_FORMAT Csv
#endif

const char* const NETWORK = "name of your network";
const char* const PASSWORD = "its password";
const uint16_t PORT = 8721;

hubplumb::Sensor<TwoWire, hubplumb::HUBPLUMB_CHIP> sensor(Wire);
hubplumb::HUBPLUMB_FORMAT format;
hubplumb::Clock device_clock;
hubplumb::Reading reading;
hubplumb::Piece piece;
WiFiServer server(PORT);
WiFiClient client;
bool found = false;
unsigned long tried_ms = 0;

void send_piece() {
  client.write(piece.bytes(), piece.length());
  piece.clear();
}

void setup() {
  Wire.begin();
  Wire.setClock(400000);
  WiFi.mode(WIFI_STA);
  WiFi.begin(NETWORK, PASSWORD);
  // A radio that sleeps between beacons sends in bunches, a tenth of a second late.
  WiFi.setSleep(false);
  server.begin();
  found = sensor.begin();
}

// A caller that has just come hears the beginning of the format.
bool has_caller() {
  if (client.connected()) return true;
  client = server.available();
  if (!client.connected()) return false;
  // Each reading goes at once instead of waiting for more.
  client.setNoDelay(true);
  format = hubplumb::HUBPLUMB_FORMAT();
  format.start(piece);
  return true;
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
  if (!has_caller()) return;
  if (format.preface(reading, piece)) send_piece();
  format.say(reading, piece);
  send_piece();
  reading.sequence++;
}
