// The few words that come with the first figures, before the page has all of them.
import type { MountView } from '../../contract/types';

export const glance = {
  mounts: {
    front_left: 'front left',
    front_right: 'front right',
    rear_left: 'rear left',
    rear_right: 'rear right',
    body: 'body',
  } satisfies Record<MountView, string>,
  title: 'Camber now',
  fresh: 'now',
  ago: (ago: string) => `${ago} old`,
  noValue: 'no value',
  interval: (expanded: string) => `± ${expanded}`,
};
