// What a tagged PDF of Chromium tells of its pages and tables. The objects of pages and of the
// structure tree are written uncompressed, so their text is enough (ISO 32000: Page, StructElem).

interface Objects {
  [number: string]: string;
}

function objects(pdf: Buffer): Objects {
  const found: Objects = {};
  for (const match of pdf.toString('latin1').matchAll(/(?:^|\n)(\d+) 0 obj\n?([\s\S]*?)\nendobj/g)) {
    // Only what is no stream has to be looked at.
    if (!match[2]!.includes('\nstream')) found[match[1]!] = match[2]!;
  }
  return found;
}

/** Width and height of every page, in points. */
export function page_sizes_pt(pdf: Buffer): [number, number][] {
  return Object.values(objects(pdf))
    .filter((text) => /\/Type\s*\/Page\b/.test(text))
    .map((text) => {
      const box = /\/MediaBox\s*\[([\d.\s-]+)\]/.exec(text)?.[1]?.trim().split(/\s+/).map(Number) ?? [];
      return [box[2]! - box[0]!, box[3]! - box[1]!];
    });
}

function is_row(text: string): boolean {
  return /\/S\s*\/TR\b/.test(text);
}

/** The entries of /K: other elements, and content with the page it is on. */
function kids(text: string): string {
  const from = text.indexOf('/K ');
  if (from < 0) return '';
  let depth = 0;
  for (let at = from + 3; at < text.length; at += 1) {
    if (text[at] === '[') depth += 1;
    if (text[at] === ']') depth -= 1;
    if (depth === 0 && (text[at] === ']' || text[at] === '\n')) return text.slice(from + 3, at + 1);
  }
  return text.slice(from + 3);
}

function pages_of(all: Objects, number: string, seen: Set<string>): void {
  const text = all[number];
  if (text === undefined) return;
  for (const match of text.matchAll(/\/Pg (\d+) 0 R/g)) seen.add(match[1]!);
  const inside = kids(text).replace(/\/Pg \d+ 0 R/g, '');
  for (const match of inside.matchAll(/(\d+) 0 R/g)) pages_of(all, match[1]!, seen);
}

/** How many rows of tables there are. */
export function rows_in(pdf: Buffer): number {
  return Object.values(objects(pdf)).filter(is_row).length;
}

/** Is it a row of a table's head, of heads alone? That is written again on every page the table goes on to. */
function is_head(all: Objects, row: string): boolean {
  const cells = [...kids(row).matchAll(/(\d+) 0 R/g)].map((match) => all[match[1]!] ?? '');
  return cells.every((cell) => /\/S\s*\/TH\b/.test(cell));
}

/** How many rows of tables, heads left aside, have content on more than one page. */
export function cut_rows(pdf: Buffer): number {
  const all = objects(pdf);
  return Object.keys(all).filter((number) => {
    if (!is_row(all[number]!) || is_head(all, all[number]!)) return false;
    const pages = new Set<string>();
    pages_of(all, number, pages);
    return pages.size > 1;
  }).length;
}
