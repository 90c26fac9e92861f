// The live figures alone: what stands there while the rest of the page is on its way.
import type { WheelView } from '../contract/types';
import { wheelsNow } from '../state/sections';
import { texts } from '../texts';
import { CamberOpen } from './camber';
import { Live } from './live';
import { SheetLine } from './sheet-line';

const figures = ({ wheels }: { wheels: readonly WheelView[] }) => <CamberOpen wheels={wheels} />;

/** The lines above that every worksheet has: room for them, so that the figures do not move when they come. */
const ABOVE = ['visit', 'boards', 'floor', 'run_out'] as const;

export function FirstFigures() {
  return (
    <>
      <header class="head" />
      <main class="sheet">
        {ABOVE.map((line) => (
          <div class="line" key={line}>
            <span class="knot" />
            <div class="line-head" />
          </div>
        ))}
        <SheetLine line="camber" title={texts.camber.title} open atHand>
          <Live of={wheelsNow} draw={figures} />
        </SheetLine>
      </main>
    </>
  );
}
