// The requests about finding boards, saying where they are, and practising.
import { ask } from './requests';
import type { AxisName, BluetoothView, MountView, NamingView, Optional, PlacedView, PractisedView } from './types';

const path = (what: string): string => `api/v1/setup/${what}`;

/** How long Bluetooth is looked at, s: boards that sleep say that they are there every second or two. */
const LOOK_S = 8;

export const startNaming = () => ask<NamingView>(path('naming'), {});
export const skipMount = () => ask<NamingView>(path('naming/skip'), {});
export const endNaming = () => ask<NamingView>(path('naming/end'), {});
export const lookAtBluetooth = () => ask<BluetoothView>(path('bluetooth'), { seconds: LOOK_S });
export const takeIn = (port: string, name: string | null) => ask<PlacedView>(path('take-in'), { port, name });
export const letGo = (board: string) => ask<null>(path('let-go'), { board });
export const seatBoard = (board: string, mount: Optional<MountView>, outboard: AxisName | null, up: AxisName | null) =>
  ask<PlacedView>(path('seat'), { board, mount: mount ?? null, outboard, up });
export const startPractice = () => ask<PractisedView>('api/v1/practice', {});
export const endPractice = () => ask<PractisedView>('api/v1/practice/end', {});
