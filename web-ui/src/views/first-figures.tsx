// The live figures alone: what stands there while the rest of the page is on its way.
import { texts } from '../texts';
import { wheelsNow } from '../state/sections';
import { CamberOpen } from './camber';
import { Live } from './live';
import { Connection, Name } from './name';
import { SheetLine } from './sheet-line';
import type { WheelView } from '../contract/types';

const figures = ({ wheels }: { wheels: readonly WheelView[] }) => <CamberOpen wheels={wheels} />;

/** Room for the lines above, so that the figures do not move when those come. */
const ABOVE = 4;

export function FirstFigures() {
  return (
    <>
      <header class="head">
        <Name />
        <Connection />
      </header>
      <main class="sheet">
        {Array.from({ length: ABOVE }, (_, nth) => (
          <div class="line" key={nth}>
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
