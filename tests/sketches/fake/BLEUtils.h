// A header of its own on the ESP32.
#include "BLEDevice.h"
