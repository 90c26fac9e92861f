// The descriptor by which a client switches notifications on.
#ifndef FAKE_BLE2902_H
#define FAKE_BLE2902_H

#include "BLEDevice.h"

class BLE2902 : public BLEDescriptor {};

#endif
