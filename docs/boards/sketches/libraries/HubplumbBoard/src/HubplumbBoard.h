// Everything of the library. Nothing in it needs an Arduino: chips are reached
// through whatever has the functions of the `Wire` object.
#ifndef HUBPLUMB_BOARD_H
#define HUBPLUMB_BOARD_H

#include "hubplumb/adxl345.h"
#include "hubplumb/clock.h"
#include "hubplumb/compact.h"
#include "hubplumb/csv.h"
#include "hubplumb/json.h"
#include "hubplumb/lsm6ds3.h"
#include "hubplumb/mpu6050.h"
#include "hubplumb/reading.h"
#include "hubplumb/sensor.h"

#endif
