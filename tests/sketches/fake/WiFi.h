// As much of the ESP32's Wi-Fi as the sketches use. It is always joined.
#ifndef FAKE_WIFI_H
#define FAKE_WIFI_H

#include "Arduino.h"

enum wl_status_t { WL_CONNECTED = 3, WL_DISCONNECTED = 6 };
enum wifi_mode_t { WIFI_STA = 1 };

class IPAddress {
 public:
  IPAddress(uint8_t a, uint8_t b, uint8_t c, uint8_t d) : parts_{a, b, c, d} {}

 private:
  uint8_t parts_[4];
};

class FakeWiFi {
 public:
  void mode(wifi_mode_t) {}
  void begin(const char*, const char*) { begun_ = true; }
  void setSleep(bool sleep) { std::printf("sleep %d\n", sleep); }
  wl_status_t status() { return begun_ ? WL_CONNECTED : WL_DISCONNECTED; }

 private:
  bool begun_ = false;
};

class WiFiClient {
 public:
  explicit WiFiClient(bool open = false) : open_(open) {}
  uint8_t connected() { return open_; }
  void setNoDelay(bool) {}
  size_t write(const uint8_t* bytes, size_t length) {
    world::sent("tcp", bytes, length);
    return length;
  }

 private:
  bool open_;
};

class WiFiServer {
 public:
  explicit WiFiServer(uint16_t) {}
  void begin() { begun_ = true; }
  WiFiClient available() { return WiFiClient(begun_); }

 private:
  bool begun_ = false;
};

extern FakeWiFi WiFi;

#endif
