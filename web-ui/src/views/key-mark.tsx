// A small key: what it stands on is done by a key too.
export function KeyMark({ resting = false, back = false }: { resting?: boolean; back?: boolean }) {
  return (
    <svg class={`key-mark${resting ? ' key-mark-resting' : ''}`} viewBox="0 0 30 26" aria-hidden="true" focusable="false">
      <path d="M5 1.5h20a3.5 3.5 0 0 1 3.5 3.5v16a3.5 3.5 0 0 1-3.5 3.5H5A3.5 3.5 0 0 1 1.5 21V5A3.5 3.5 0 0 1 5 1.5zM1.5 19h27" fill="none" stroke="currentColor" stroke-width="2.4" />
      <path d={back ? 'M17.5 5.5 12.5 10l5 4.5' : 'M12.5 5.5l5 4.5-5 4.5'} fill="none" stroke="currentColor" stroke-width="2.8" stroke-linecap="round" stroke-linejoin="round" />
    </svg>
  );
}
