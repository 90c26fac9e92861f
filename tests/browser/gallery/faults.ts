// What would be wrong with a screen for a person before it, measured from the layout.
import { createRequire } from 'node:module';
import type { Page } from '@playwright/test';
import { PX_PER_MM } from '../measure.ts';
import { too_small, TOUCH_PX } from '../touch.ts';

/** Least distance between two things to be touched: 2 mm, less what a border's rounding takes. */
const APART_PX = 2 * PX_PER_MM - 0.5;

/** Anything that reaches out at the sides of the screen, or is cut by what holds it. */
export async function cut_off(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const faults: string[] = [];
    const root = document.documentElement;
    if (root.scrollWidth > innerWidth) faults.push(`the page is ${root.scrollWidth} wide on ${innerWidth}`);
    const name = (element: Element) => `${element.tagName.toLowerCase()}.${element.getAttribute('class') ?? ''} "${(element.textContent ?? '').trim().slice(0, 40)}"`;
    for (const element of document.body.querySelectorAll<HTMLElement>('*')) {
      if (element.closest('.unseen, [hidden], svg, [data-may-be-cut]') || element.matches('option, input')) continue;
      const box = element.getBoundingClientRect();
      if (box.width === 0 || box.height === 0) continue;
      if (box.right > innerWidth + 1 || box.left < -1) faults.push(`${name(element)} reaches from ${Math.round(box.left)} to ${Math.round(box.right)} of ${innerWidth}`);
      const style = getComputedStyle(element);
      const own_text = [...element.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.textContent?.trim());
      if (style.overflowX !== 'visible' && element.scrollWidth > element.clientWidth + 1) faults.push(`${name(element)} is cut at ${element.clientWidth} of ${element.scrollWidth}`);
      // Text that is wider than the box made for it lies over its neighbour.
      else if (own_text && style.display !== 'inline' && element.scrollWidth > element.clientWidth + 2) faults.push(`${name(element)} is ${element.scrollWidth} wide in ${element.clientWidth}`);
    }
    return faults;
  });
}

/** Pairs of things to be touched that lie nearer to each other than a gloved finger is sure of. */
export async function too_near(page: Page): Promise<string[]> {
  return page.evaluate(([apart, least]) => {
    // An open dialog is all that can be touched.
    const within = document.querySelector('dialog[open]') ?? document;
    const found = [...within.querySelectorAll<HTMLElement>('button, a[href], summary, input, select, textarea')];
    const layer = (element: Element) => element.closest('.head, .problem, .stage-foot, .panel-foot, .moved > .buttons, .wheels-focus, [data-layer]');
    const hits = new Map<Element, DOMRect>();
    for (const element of found) {
      // A field that is large enough by itself is aimed at by itself; a small one by all of its label.
      const own = element.getBoundingClientRect();
      const hit = own.width >= least && own.height >= least ? element : (element.closest('label') ?? element);
      const box = hit.getBoundingClientRect();
      if (box.width > 0 && box.height > 0 && element.checkVisibility()) hits.set(hit, box);
    }
    const name = (element: Element) => element.getAttribute('data-testid') ?? `${element.tagName.toLowerCase()} "${(element.textContent ?? '').trim().slice(0, 24)}"`;
    const faults: string[] = [];
    const all = [...hits];
    all.forEach(([one, a], nth) => {
      for (const [other, b] of all.slice(nth + 1)) {
        if (layer(one) !== layer(other) || one.contains(other) || other.contains(one)) continue;
        const across = Math.max(a.left - b.right, b.left - a.right);
        const down = Math.max(a.top - b.bottom, b.top - a.bottom);
        const gap = Math.max(across, down);
        if (gap < apart) faults.push(`${name(one)} and ${name(other)} are ${gap.toFixed(1)} apart`);
      }
    });
    return faults;
  }, [APART_PX, TOUCH_PX] as const);
}

export interface AxeFinding {
  id: string;
  impact: string;
  help: string;
  nodes: string[];
}

const AXE = createRequire(import.meta.url).resolve('axe-core');

/** What axe-core finds by the rules of WCAG 2.2 AA and its own good practice. */
export async function axe(page: Page): Promise<AxeFinding[]> {
  if (!(await page.evaluate(() => 'axe' in window))) await page.addScriptTag({ path: AXE });
  return page.evaluate(async () => {
    const { axe } = window as unknown as { axe: { run(root: Document, how: object): Promise<{ violations: { id: string; impact: string; help: string; nodes: { target: unknown[]; failureSummary: string }[] }[] }> } };
    const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
    const { violations } = await axe.run(document, { runOnly: tags, resultTypes: ['violations'], rules: { 'target-size': { enabled: true } } });
    return violations.map(({ id, impact, help, nodes }) => ({ id, impact, help, nodes: nodes.map(({ target, failureSummary }) => `${target.join(' ')}: ${failureSummary.split('\n').slice(1).join(';').slice(0, 220)}`) }));
  });
}

export interface Layout {
  name: string;
  width: number;
  height: number;
}

export const TABLET: readonly Layout[] = [
  { name: 'tablet across', width: 1280, height: 800 },
  { name: 'tablet upright', width: 800, height: 1280 },
];

/** A phone, the narrowest that WCAG asks for (1.4.10), and a desk. */
export const OTHERS: readonly Layout[] = [
  { name: 'phone', width: 360, height: 740 },
  { name: 'narrowest', width: 320, height: 640 },
  { name: 'desk', width: 1920, height: 1080 },
];

/** All faults of layout, each with the layout it shows in. */
export async function layout_faults(page: Page, layouts: readonly Layout[]): Promise<string[]> {
  const faults: string[] = [];
  for (const { name, width, height } of layouts) {
    await page.setViewportSize({ width, height });
    await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
    for (const fault of [...(await cut_off(page)), ...(await too_small(page)), ...(await too_near(page))]) faults.push(`${name}: ${fault}`);
  }
  return faults;
}
