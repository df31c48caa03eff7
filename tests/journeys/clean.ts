/** A page as axe-core and the edge of the screen see it, at each size and in each theme. */
import type { Page } from 'playwright-core';
import { expect } from 'vitest';
import { axeFindings } from '../axe.ts';
import type { Device } from './drive.ts';

const THEMES = ['light', 'dark'] as const;
export const DESK = [1366, 768] as const;
export const TABLET = [1024, 768] as const;
export const PHONE = [390, 844] as const;

/** Buttons and fields a thumb could miss: under 44 px in either direction, and in view. */
const small = (page: Page): Promise<string[]> =>
  page.evaluate(() =>
    Array.from(document.querySelectorAll<HTMLElement>('button, input:not([type=file]), textarea, select')).flatMap(
      (each) => {
        // Of a switch or a box to tick the whole line is the target: its words reach over it.
        const target = ['switch', 'checkbox'].includes(each.getAttribute('role') ?? '')
          ? (each.parentElement ?? each)
          : each;
        const { width, height } = target.getBoundingClientRect();
        const hidden = width === 0 || getComputedStyle(each).visibility === 'hidden';
        return hidden || (width >= 43.5 && height >= 43.5)
          ? []
          : [`${Math.round(width)}×${Math.round(height)} ${each.outerHTML.slice(0, 120)}`];
      },
    ),
  );

/** Clean by axe-core in both themes, and nothing sideways, at one size. */
export const expectClean = async (
  device: Device,
  name: string,
  [width, height]: readonly [number, number],
): Promise<void> => {
  const { page } = device;
  await page.setViewportSize({ width, height });
  for (const [at, theme] of THEMES.entries()) {
    const rules = at === 0 ? 'all' : 'colour';
    await page.evaluate(async (chosen) => {
      document.documentElement.dataset['theme'] = chosen;
      // Colours are judged as they come to rest, not half-way there.
      for (let frame = 0; frame < 3; frame += 1) await new Promise((resolve) => requestAnimationFrame(resolve));
    }, theme);
    // A page still settling is looked at again; what is wrong with it at rest stays wrong.
    let found = await axeFindings(page, rules);
    for (let again = 0; found.length > 0 && again < 10; again += 1) {
      await page.waitForTimeout(300);
      found = await axeFindings(page, rules);
    }
    expect(found, `${name}, ${theme}, ${width}×${height}`).toEqual([]);
    const sideways = await page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
    expect(sideways, `${name} scrolls sideways at ${width}`).toBeLessThanOrEqual(0);
    await device.shot(`${name}-${theme}-${width}`);
  }
};

/** Every tap of the page big enough for a thumb (44 px; WCAG 2.2, 2.5.5 Target Size, Enhanced). */
export const expectThumbs = async (device: Device, name: string): Promise<void> => {
  expect(await small(device.page), `${name}: too small for a thumb`).toEqual([]);
};

/**
 * Words that run on in the next line, and amounts parted from their unit there: "350 microgr|ams", "0.3|mL". Read off the
 * page as laid out, word by word.
 */
export const brokenWords = (page: Page): Promise<string[]> =>
  page.evaluate(() => {
    const found: string[] = [];
    const range = document.createRange();
    const lines = (node: Node, from: number, to: number): number => {
      range.setStart(node, from);
      range.setEnd(node, to);
      const seen: DOMRect[] = [];
      for (const rect of Array.from(range.getClientRects()))
        if (rect.width > 0 && !seen.some(({ top, bottom }) => rect.top < bottom && rect.bottom > top)) seen.push(rect);
      return seen.length;
    };
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const text = node.textContent ?? '';
      // A hyphen or a stroke is a place where a word may part; an amount stays with its unit.
      const kept = /\d[\d.,]*\s(?:micrograms|mg|g|mL|units|L|kg|%)(?:\/\w+)?(?![\w-])|[^\s/\u2010-\u2015-]+/g;
      for (const { index, 0: word } of text.matchAll(kept))
        if (lines(node, index, index + word.length) > 1) found.push(`${word} in: ${text.trim().slice(0, 80)}`);
    }
    return found;
  });
