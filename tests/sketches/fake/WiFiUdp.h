// Datagrams, each logged as it leaves.
#ifndef FAKE_WIFIUDP_H
#define FAKE_WIFIUDP_H

#include "WiFi.h"

class WiFiUDP {
 public:
  uint8_t begin(uint16_t) { return 1; }
  int beginPacket(const IPAddress&, uint16_t) {
    datagram_.clear();
    return 1;
  }
  size_t write(const uint8_t* bytes, size_t length) {
    datagram_.insert(datagram_.end(), bytes, bytes + length);
    return length;
  }
  int endPacket() {
    world::sent("udp", datagram_.data(), datagram_.size());
    return 1;
  }

 private:
  std::vector<uint8_t> datagram_;
};

#endif
