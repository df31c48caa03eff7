/**
 * Holds the palette to WCAG 2.2: text 4.5:1 (1.4.3), lines and control edges 3:1 (1.4.11), in both themes.
 * Relative luminance and contrast ratio as defined there, checked below against ratios worked by hand.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { PALETTES } from '../src/lib/monitor/site.ts';

const css = readFileSync(new URL('../src/lib/styles/tokens.css', import.meta.url), 'utf8');

function themeTokens(theme: 'light' | 'dark'): Map<string, string> {
  const start = css.indexOf(`[data-theme='${theme}'] {`);
  expect(start, `a block for the ${theme} theme`).toBeGreaterThan(-1);
  const block = css.slice(start, css.indexOf('\n}', start));
  const tokens = new Map<string, string>();
  for (const match of block.matchAll(/--([\w-]+):\s*(?:var\(--[\w-]+,\s*)?(#[0-9a-f]{6})\)?;/g)) {
    tokens.set(match[1]!, match[2]!);
  }
  return tokens;
}

/** WCAG relative luminance of #rrggbb. */
function luminance(hex: string): number {
  const [r, g, b] = [1, 3, 5].map((at) => {
    const channel = parseInt(hex.slice(at, at + 2), 16) / 255;
    return channel <= 0.04045 ? channel / 12.92 : ((channel + 0.055) / 1.055) ** 2.4;
  }) as [number, number, number];
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(a: string, b: string): number {
  const [high, low] = [luminance(a), luminance(b)].sort((x, y) => y - x) as [number, number];
  return (high + 0.05) / (low + 0.05);
}

const GROUNDS = ['ground', 'surface', 'raised', 'sunken'];
const MEANINGS = ['accent', 'good', 'warn', 'danger', 'odd', 'doubt'];
const VITALS = ['heart', 'oxygen', 'pressure', 'breathing', 'co2', 'temperature', 'glucose'].map((v) => `vital-${v}`);

/** [foreground, background] pairs the screens use for text. */
const TEXT: [string, string][] = [
  ...['ink', 'ink-2', 'ink-3'].flatMap((ink) => GROUNDS.map((ground): [string, string] => [ink, ground])),
  ...MEANINGS.flatMap((tone) => [...GROUNDS, `${tone}-wash`].map((ground): [string, string] => [tone, ground])),
  ...MEANINGS.flatMap((tone) => ['ink', 'ink-2'].map((ink): [string, string] => [ink, `${tone}-wash`])),
  ...VITALS.flatMap((vital) => GROUNDS.map((ground): [string, string] => [vital, ground])),
  ['on-accent', 'accent'],
  ['on-accent', 'accent-strong'],
  ['on-danger', 'danger'],
  ['on-danger', 'danger-strong'],
  ['accent-strong', 'accent-wash'],
  ['on-tape', 'tape'],
];

/** Pairs for control edges, focus rings, icons and traces. */
const LINES: [string, string][] = [
  ...['edge', 'focus'].flatMap((line) => GROUNDS.map((ground): [string, string] => [line, ground])),
  ['tape-mark', 'tape'],
  ['focus', 'accent-wash'],
];

const ROOMS = ['night', 'bright'] as const;

describe('contrast', () => {
  it('agrees with ratios worked from the WCAG definition', () => {
    // Black on white is 21:1 by definition; #777777 on white is 4.48:1, the well-known near miss of 4.5:1.
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 5);
    expect(contrast('#777777', '#ffffff')).toBeCloseTo(4.48, 2);
    // Okabe-Ito blue and vermillion on white.
    expect(contrast('#0072b2', '#ffffff')).toBeCloseTo(5.19, 2);
    expect(contrast('#d55e00', '#ffffff')).toBeCloseTo(3.87, 2);
  });

  for (const theme of ['light', 'dark'] as const) {
    const tokens = themeTokens(theme);
    const ratio = ([front, back]: [string, string]): number => {
      const [a, b] = [tokens.get(front), tokens.get(back)];
      expect(a, `--${front} in ${theme}`).toBeDefined();
      expect(b, `--${back} in ${theme}`).toBeDefined();
      return contrast(a!, b!);
    };
    it(`${theme}: text reaches 4.5:1`, () => {
      const short = TEXT.map((pair) => ({ pair: pair.join(' on '), ratio: ratio(pair) })).filter((x) => x.ratio < 4.5);
      expect(short).toEqual([]);
    });
    it(`${theme}: lines and edges reach 3:1`, () => {
      const short = LINES.map((pair) => ({ pair: pair.join(' on '), ratio: ratio(pair) })).filter((x) => x.ratio < 3);
      expect(short).toEqual([]);
    });
  }

  it('both themes define the same tokens', () => {
    expect([...themeTokens('light').keys()].sort()).toEqual([...themeTokens('dark').keys()].sort());
  });
});

/** Blocks `.monitor.name { }` or `.monitor.name.night { }` of the monitor's palettes. */
const monitorStyle = readFileSync(new URL('../src/lib/monitor/palettes.css', import.meta.url), 'utf8');
const blockOf = (selector: string): Map<string, string> => {
  const start = monitorStyle.indexOf(`\n.monitor${selector} {`);
  expect(start, `a block for ${selector}`).toBeGreaterThan(-1);
  const block = monitorStyle.slice(start, monitorStyle.indexOf('\n}', start));
  return new Map(Array.from(block.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6});/g), ([, name, hex]) => [name!, hex!]));
};

describe('the palettes a site may choose for its monitors', () => {
  it.each(PALETTES.filter((name) => name !== 'plain').flatMap((name) => ROOMS.map((room) => [name, room] as const)))(
    '%s in the %s room: every number and word reads at 4.5:1',
    (name, room) => {
      const night = room === 'night';
      const tokens = new Map([
        ...themeTokens(night ? 'dark' : 'light'),
        ...(night ? blockOf('.night') : []),
        ...blockOf(night ? `.${name}.night` : `.${name}`),
      ]);
      // Nothing of the usual colours is left in it.
      for (const vital of VITALS) expect(blockOf(night ? `.${name}.night` : `.${name}`).has(vital), vital).toBe(true);
      for (const words of [...VITALS, 'ink', 'ink-2', 'ink-3'])
        for (const ground of GROUNDS) {
          const ratio = contrast(tokens.get(words)!, tokens.get(ground)!);
          expect(ratio, `${words} on ${ground}`).toBeGreaterThanOrEqual(4.5);
        }
    },
  );
});
