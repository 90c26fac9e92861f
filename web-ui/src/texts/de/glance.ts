// The few words that come with the first figures, in German.
import type { GlanceTexts } from '../shape';

export const glance: GlanceTexts = {
  mounts: {
    front_left: 'vorn links',
    front_right: 'vorn rechts',
    rear_left: 'hinten links',
    rear_right: 'hinten rechts',
    body: 'Karosserie',
  },
  title: 'Sturz jetzt',
  fresh: 'jetzt',
  ago: (ago) => `${ago} alt`,
  noValue: 'kein Wert',
  interval: (expanded) => `± ${expanded}`,
};
