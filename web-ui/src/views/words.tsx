// Words in the face of the large figures, sized by their own width so that they fill their place.
import { wordsWidth_em } from '../format/numbers';

/** `--em` is the width of the whole, `--word-em` that of its longest word, for places where it may wrap. */
export function BigWords({ words }: { words: string }) {
  const longest_em = Math.max(...words.split(' ').map(wordsWidth_em));
  return (
    <span class="big-words" style={{ '--em': wordsWidth_em(words).toFixed(3), '--word-em': longest_em.toFixed(3) }}>
      {words}
    </span>
  );
}

/** What stands at full height on the narrower side of a tablet, in em. */
const WHOLE_EM = 2.1;

/** A few words of which one matters most: all of them if they are short, else the figure, else the first. */
export function MarkedWords({ words }: { words: string }) {
  if (wordsWidth_em(words) <= WHOLE_EM) return <span class="mark">{words}</span>;
  const parts = words.split(' ');
  const figure = parts.findIndex((part) => /\d/.test(part));
  const marked = Math.max(0, figure);
  return (
    <>
      {parts.flatMap((part, nth) => [nth > 0 ? ' ' : '', nth === marked ? <span class="mark">{part}</span> : <span key={nth}>{part}</span>])}
    </>
  );
}
