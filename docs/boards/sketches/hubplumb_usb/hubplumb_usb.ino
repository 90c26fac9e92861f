// A board on USB (or any serial line): reads its chip at 100 Hz and says each reading.
// Wiring and cautions: docs/boards of hubplumb. Reached as `port = "/dev/ttyACM0"` or by its id.
#include <HubplumbBoard.h>
#include <Wire.h>

// Your chip: Mpu6050, Lsm6ds3 or Adxl345.
#ifndef HUBPLUMB_CHIP
#define HUBPLUMB_CHIP Mpu6050
#endif

// What is sent: Csv, Json or Compact. Compact is for more than 200 readings a second.
#ifndef HUBPLUMB_FORMAT
#define HUBPLUMB_FORMAT Csv
#endif

const unsigned long SERIAL_BAUD = 115200;

hubplumb::Sensor<TwoWire, hubplumb::HUBPLUMB_CHIP> sensor(Wire);
hubplumb::HUBPLUMB_FORMAT format;
hubplumb::Clock device_clock;
hubplumb::Reading reading;
hubplumb::Piece piece;
bool found = false;
unsigned long tried_ms = 0;

void send_piece() {
  Serial.write(piece.bytes(), piece.length());
  piece.clear();
}

void setup() {
  Serial.begin(SERIAL_BAUD);
  Wire.begin();
  Wire.setClock(400000);
  format.start(piece);
  send_piece();
  found = sensor.begin();
}

void loop() {
  if (!found) {
    // A chip that does not answer is looked for once a second; nothing is made up meanwhile.
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
  if (format.preface(reading, piece)) send_piece();
  format.say(reading, piece);
  send_piece();
  reading.sequence++;
}
