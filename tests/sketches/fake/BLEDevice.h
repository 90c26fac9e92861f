// As much of the ESP32's Bluetooth LE as the sketches use.
#ifndef FAKE_BLEDEVICE_H
#define FAKE_BLEDEVICE_H

#include "Arduino.h"

class BLEServer;

class BLEServerCallbacks {
 public:
  virtual ~BLEServerCallbacks() {}
  virtual void onConnect(BLEServer*) {}
  virtual void onDisconnect(BLEServer*) {}
};

class BLEDescriptor {};

class BLECharacteristic {
 public:
  enum : uint32_t { PROPERTY_NOTIFY = 1 << 4 };
  void addDescriptor(BLEDescriptor*) {}
  void setValue(uint8_t* bytes, size_t length) { value_.assign(bytes, bytes + length); }
  void notify() { world::sent("ble", value_.data(), value_.size()); }

 private:
  std::vector<uint8_t> value_;
};

class BLEAdvertising {
 public:
  void addServiceUUID(const char* uuid) { std::printf("advertises %s\n", uuid); }
  void start() { std::printf("advertising\n"); }
};

class BLEService {
 public:
  BLECharacteristic* createCharacteristic(const char* uuid, uint32_t) {
    std::printf("characteristic %s\n", uuid);
    return &characteristic_;
  }
  void start() {}

 private:
  BLECharacteristic characteristic_;
};

class BLEServer {
 public:
  void setCallbacks(BLEServerCallbacks* callbacks) { callbacks_ = callbacks; }
  BLEService* createService(const char*) { return &service_; }
  BLEAdvertising* getAdvertising() { return &advertising_; }
  // What the other side does.
  void connect(bool comes) {
    if (!callbacks_) return;
    if (comes)
      callbacks_->onConnect(this);
    else
      callbacks_->onDisconnect(this);
  }

 private:
  BLEServerCallbacks* callbacks_ = nullptr;
  BLEService service_;
  BLEAdvertising advertising_;
};

class BLEDevice {
 public:
  static void init(const char* name) { std::printf("name %s\n", name); }
  static BLEServer* createServer();
};

#endif
