// Draws the icons of the installed page from its SVGs: `npm run icons`. They are the same bytes
// each time, with few colours, because every byte of the page crosses a garage's radio.
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { deflateSync } from 'node:zlib';
import { expect, test } from '@playwright/test';

const folder = new URL('../../../web-ui/public/', import.meta.url);

/** Shades between two colours at an edge; more are not seen at these sizes. */
const SHADES = 8;
/** A colour on more of the picture than this is one of the drawing, not of an edge. */
const AREA = 0.01;

/** CRC of a chunk (PNG, W3C Recommendation, annex D). */
function crc(bytes: Buffer): number {
  let rest = 0xffffffff;
  for (const byte of bytes) {
    rest ^= byte;
    for (let bit = 0; bit < 8; bit += 1) rest = rest & 1 ? (rest >>> 1) ^ 0xedb88320 : rest >>> 1;
  }
  return (rest ^ 0xffffffff) >>> 0;
}

function chunk(kind: string, data: Buffer): Buffer {
  const named = Buffer.concat([Buffer.from(kind, 'latin1'), data]);
  const whole = Buffer.alloc(named.length + 8);
  whole.writeUInt32BE(data.length, 0);
  named.copy(whole, 4);
  whole.writeUInt32BE(crc(named), named.length + 4);
  return whole;
}

/** A PNG of indexed colours from pixels of red, green, blue and cover. */
function png(size: number, pixels: Uint8Array): Buffer {
  const palette: number[][] = [];
  const index = new Map<string, number>();
  const rows = Buffer.alloc(size * (size + 1));
  const counted = new Map<number, number>();
  const colours = new Uint32Array(pixels.buffer);
  for (const colour of colours) counted.set(colour, (counted.get(colour) ?? 0) + 1);
  const coarse = (value: number) => Math.round((Math.round((value / 255) * SHADES) / SHADES) * 255);
  for (let at = 0; at < size * size; at += 1) {
    const [red = 0, green = 0, blue = 0, cover = 0] = pixels.subarray(4 * at, 4 * at + 4);
    const drawn = (counted.get(colours[at]!) ?? 0) > AREA * size * size;
    const rounded = drawn ? [red, green, blue, cover] : [red, green, blue, cover].map(coarse);
    const colour = rounded[3] === 0 ? [0, 0, 0, 0] : rounded;
    const key = colour.join();
    if (!index.has(key)) {
      index.set(key, palette.length);
      palette.push(colour);
    }
    rows[Math.floor(at / size) * (size + 1) + 1 + (at % size)] = index.get(key)!;
  }
  expect(palette.length).toBeLessThanOrEqual(256);
  const header = Buffer.alloc(13);
  header.writeUInt32BE(size, 0);
  header.writeUInt32BE(size, 4);
  header.set([8, 3, 0, 0, 0], 8);
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk('IHDR', header),
    chunk('PLTE', Buffer.from(palette.flatMap((colour) => colour.slice(0, 3)))),
    chunk('tRNS', Buffer.from(palette.map((colour) => colour[3]!))),
    chunk('IDAT', deflateSync(rows, { level: 9 })),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

for (const [svg, name] of [
  ['favicon.svg', 'icon'],
  ['icon.svg', 'icon-whole'],
] as const) {
  for (const size of [192, 512]) {
    test(`${name} of ${size}`, async ({ page }) => {
      const drawing = readFileSync(fileURLToPath(new URL(svg, folder)), 'utf8');
      const pixels = await page.evaluate(
        async ([drawing, size]) => {
          const image = new Image(size, size);
          image.src = `data:image/svg+xml,${encodeURIComponent(drawing.replace('<svg ', `<svg width="${size}" height="${size}" `))}`;
          await image.decode();
          const pen = Object.assign(document.createElement('canvas'), { width: size, height: size }).getContext('2d')!;
          pen.drawImage(image, 0, 0, size, size);
          const { data } = pen.getImageData(0, 0, size, size);
          let bytes = '';
          for (const byte of data) bytes += String.fromCharCode(byte);
          return btoa(bytes);
        },
        [drawing, size] as const,
      );
      writeFileSync(fileURLToPath(new URL(`${name}-${size}.png`, folder)), png(size, Uint8Array.from(Buffer.from(pixels, 'base64'))));
    });
  }
}
