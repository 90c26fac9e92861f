// The line of the traces. What draws them is fetched when it is opened for the first time.
import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { texts } from '../../texts';

export function TracesFetched() {
  const [Fetched, setFetched] = useState<ComponentType | null>(null);
  useEffect(() => {
    let wanted = true;
    void import('./traces').then(({ TracesOpen }) => wanted && setFetched(() => TracesOpen));
    return () => {
      wanted = false;
    };
  }, []);
  return Fetched === null ? <p class="hint">{texts.traces.loading}</p> : <Fetched />;
}
