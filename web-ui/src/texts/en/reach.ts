// Texts about the way to the daemon: presses that get lost, other tablets, the installed page.
import type { AnnouncedView } from '../../contract/types';

export const reach = {
  sendingAgain: 'sending again …',
  sendingAgainAbout: 'No answer yet: sent again. It is done once at most.',
  notArrived: {
    title: 'It did not arrive',
    detail: 'This tablet has no network, so the press never left it. Nothing was done.',
    remedy: 'Bring the tablet back onto the network of the daemon, then press again.',
  },
  notKnown: {
    title: 'Not known whether it arrived',
    detail: (limit_s: number) => `It was sent again for ${limit_s} seconds and no answer came. It was done once or not at all, never twice.`,
    remedy: 'Wait until “live” stands at the top: the page then shows how things stand. Press again only if it was not done.',
  },
  noDaemon: {
    title: 'No connection',
    detail: 'The daemon does not answer. There are no values; nothing here is live.',
    remedy: 'See whether hubplumb runs and whether this tablet is on its network. The page goes on by itself.',
  },
  newer: 'A newer page is there: load it',
  title: 'Bring in a tablet',
  close: 'Back',
  scan: 'Point the camera of the tablet here, or type the address.',
  codeOf: (url: string) => `Code for the address ${url}`,
  others: 'Another address, if that one does not open',
  noNetwork: 'The machine that hubplumb runs on has no address on a network yet. Join one; this page shows it then.',
  named: {
    off: 'Not announced by name.',
    asking: 'Asking whether the name is free …',
    announced: 'By name, where the tablet knows such names:',
    failed: 'It could not be announced by name. The numeric address works all the same.',
  } satisfies Record<AnnouncedView, string>,
  local: {
    what: 'Only the machine that hubplumb runs on can open this page.',
    remedy: 'To let a tablet in, start hubplumb with:',
    meaning: 'Everybody on the network can then open the page; a code from the terminal lets a tablet press its buttons.',
  },
  everybody: 'Everybody on this network can open the page; a code from the terminal lets a tablet press its buttons.',
  certificateTitle: 'Certificate',
  certificate: (name: string) => `The browser warns, because nobody outside vouches for hubplumb. Let the tablet trust “${name}” as a certificate authority and the warning is gone.`,
  compare: 'Compare first. The fingerprint (SHA-256) must be the one that hubplumb prints where it runs:',
  getCertificate: 'Get the certificate',
  devicesTitle: 'Paired devices',
  own: 'this one',
  revoke: 'Revoke',
  broker: { calling: 'The MQTT broker is being called.', up: 'The MQTT broker is there.' },
  hereTitle: 'What this tablet can do here',
  awake: { yes: 'The screen stays on during a procedure.', no: 'The screen may go dark: the browser lets only pages over HTTPS keep it on. Set the tablet itself to stay on for longer.', unsupported: 'This browser cannot keep the screen on. Set the tablet itself to stay on for longer.' },
  kept: {
    insecure: 'The page cannot be installed: the browser keeps a page only if it came over HTTPS. Start hubplumb with --https for that.',
    unsupported: 'This browser does not keep pages, or forbids it in a private window.',
    starting: 'The page is being kept …',
    kept: 'The page is kept: it opens without a connection too, and then says so. It can be put on the home screen from the menu of the browser.',
    failed: 'The page could not be kept; often the certificate is not trusted yet.',
  },
};
