// An ESP32 on Bluetooth LE: the Nordic UART service, which carries a stream of bytes.
// Wiring and cautions: docs/boards of hubplumb. Power it from a battery; nothing is on while
// the car is driven.
#include <BLE2902.h>
#include <BLEDevice.h>
#include <BLEServer.h>
#include <BLEUtils.h>
#include <HubplumbBoard.h>
#include <Wire.h>

// Your chip: Mpu6050, Lsm6ds3 or Adxl345.
#ifndef HUBPLUMB_CHIP
#define HUBPLUMB_CHIP Mpu6050
#endif

// What is sent: Compact, or Csv or Json, which are too long for a slow radio.
#ifndef HUBPLUMB_FORMAT
#define HUBPLUMB_FORMAT Compact
#endif

// Give each board a name of its own.
const char* const BOARD_NAME = "hub-left";

const char* const SERVICE = "6E400001-B5A3-F393-E0A9-E50E24DCCA9E";
const char* const TO_COMPUTER = "6E400003-B5A3-F393-E0A9-E50E24DCCA9E";
// What one notification always holds; more only after both sides have agreed on it.
const size_t NOTIFICATION_BYTES = 20;

hubplumb::Sensor<TwoWire, hubplumb::HUBPLUMB_CHIP> sensor(Wire);
hubplumb::HUBPLUMB_FORMAT format;
hubplumb::Clock device_clock;
hubplumb::Reading reading;
hubplumb::Piece piece;
BLECharacteristic* characteristic = nullptr;
volatile bool connected = false;
bool greeted = false;
bool found = false;
unsigned long tried_ms = 0;

class Connections : public BLEServerCallbacks {
  void onConnect(BLEServer*) override { connected = true; }
  void onDisconnect(BLEServer* server) override {
    connected = false;
    // Without this the board would be seen only once.
    server->getAdvertising()->start();
  }
};

Connections connections;

void send_piece() {
  const uint8_t* bytes = piece.bytes();
  size_t left = piece.length();
  while (left > 0) {
    const size_t now = left < NOTIFICATION_BYTES ? left : NOTIFICATION_BYTES;
    characteristic->setValue(const_cast<uint8_t*>(bytes), now);
    characteristic->notify();
    bytes += now;
    left -= now;
  }
  piece.clear();
}

void setup() {
  Wire.begin();
  Wire.setClock(400000);
  BLEDevice::init(BOARD_NAME);
  BLEServer* server = BLEDevice::createServer();
  server->setCallbacks(&connections);
  BLEService* service = server->createService(SERVICE);
  characteristic = service->createCharacteristic(TO_COMPUTER, BLECharacteristic::PROPERTY_NOTIFY);
  characteristic->addDescriptor(new BLE2902());
  service->start();
  server->getAdvertising()->addServiceUUID(SERVICE);
  server->getAdvertising()->start();
  found = sensor.begin();
}

void loop() {
  if (!found) {
    if (millis() - tried_ms < 1000) return;
    tried_ms = millis();
    found = sensor.begin();
    return;
  }
  // The chip sets the pace: no waiting here, so no drift. It is read though nobody
  // listens, so that the clock is carried on.
  if (!sensor.ready()) return;
  reading.t_us = device_clock.carry_on(micros());
  if (!sensor.read(reading)) {
    found = false;
    return;
  }
  if (!connected) {
    greeted = false;
    return;
  }
  if (!greeted) {
    format = hubplumb::HUBPLUMB_FORMAT();
    format.start(piece);
    greeted = true;
  }
  if (format.preface(reading, piece)) send_piece();
  format.say(reading, piece);
  send_piece();
  reading.sequence++;
}
