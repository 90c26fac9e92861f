// A clock of 32 bits that wraps after 71.6 minutes, carried on.
#ifndef HUBPLUMB_CLOCK_H
#define HUBPLUMB_CLOCK_H

#include <stdint.h>

namespace hubplumb {

class Clock {
 public:
  Clock() : last_(0), turns_(0) {}

  // To be called at least once a turn.
  uint64_t carry_on(uint32_t now_us) {
    if (now_us < last_) ++turns_;
    last_ = now_us;
    return static_cast<uint64_t>(turns_) << 32 | now_us;
  }

 private:
  uint32_t last_;
  uint32_t turns_;
};

}  // namespace hubplumb

#endif
