/** Pure geometry for the timeline: points to paths, times to ticks, labels to places. No DOM, no colours. */
import { decimate, type TimelinePoint } from '@breathline/debrief';

export type Scale = (value: number) => number;

/** An SVG path through points already thinned to the pixels there are; gaps break the line. */
export function linePath(
  points: readonly TimelinePoint[],
  window: { readonly fromMs: number; readonly toMs: number },
  x: Scale,
  y: Scale,
  pixels: number,
): string {
  let path = '';
  let pen = false;
  for (const { atMs, value } of decimate(points, window.fromMs, window.toMs, pixels)) {
    if (value === null) {
      pen = false;
      continue;
    }
    path += `${pen ? 'L' : 'M'}${x(atMs).toFixed(1)} ${y(value).toFixed(1)}`;
    pen = true;
  }
  return path;
}

const STEPS_S = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600];

/** Round times at least `gapPx` apart. */
export function timeTicks(fromMs: number, toMs: number, widthPx: number, gapPx = 80): number[] {
  const most = Math.max(1, widthPx / gapPx);
  const step = (STEPS_S.find((one) => (toMs - fromMs) / (one * 1000) <= most) ?? 7200) * 1000;
  const ticks: number[] = [];
  for (let at = Math.ceil(fromMs / step) * step; at <= toMs; at += step) ticks.push(at);
  return ticks;
}

/** Width of a text in the interface face at a size, near enough to keep labels apart. */
export function textWidth(text: string, sizePx: number): number {
  return text.length * sizePx * 0.54;
}

/** Cuts a text to a width, with an ellipsis. */
export function clip(text: string, widthPx: number, sizePx: number): string {
  if (textWidth(text, sizePx) <= widthPx) return text;
  const most = Math.floor(widthPx / (sizePx * 0.54)) - 1;
  return most < 3 ? '' : `${text.slice(0, most).trimEnd()}…`;
}

/** A text in as many lines as a width asks for, at most `most`; only the last is cut. */
export function wrap(text: string, widthPx: number, sizePx: number, most: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (textWidth(longer, sizePx) <= widthPx || line === '') line = longer;
    else if (lines.length === most - 1) {
      line = longer;
    } else {
      lines.push(line);
      line = word;
    }
  }
  return [...lines, clip(line, widthPx, sizePx)];
}

export interface Placed<T> {
  readonly item: T;
  readonly x: number;
  /** 0 is nearest the axis. */
  readonly row: number;
  readonly text: string;
  /** Which side of `x` the text stands. */
  readonly anchor: 'start' | 'end';
  /** Where its moment is, when the mark had to step aside. */
  readonly trueX?: number;
  /** Its number in the lane's key, where words stand there. */
  readonly n?: number;
}

/**
 * Sets marks side by side in one row, in order, each as near its place as `gapPx` allows; in more rows when one is too
 * short for them all. Returns where each stands and in which row.
 */
export function dodge(
  xs: readonly number[],
  edges: { readonly left: number; readonly right: number },
  gapPx: number,
): readonly { readonly x: number; readonly row: number }[] {
  const room = Math.max(1, Math.floor((edges.right - edges.left) / gapPx));
  const rows = Math.max(1, Math.ceil(xs.length / room));
  const out: { x: number; row: number }[] = xs.map((x, index) => ({ x, row: index % rows }));
  for (let row = 0; row < rows; row++) {
    const mine = out.filter((one) => one.row === row);
    let least = edges.left;
    for (const one of mine) {
      one.x = Math.max(least, one.x);
      least = one.x + gapPx;
    }
    let most = edges.right;
    for (const one of [...mine].reverse()) {
      one.x = Math.min(most, one.x);
      most = one.x - gapPx;
    }
  }
  return out;
}

/**
 * Puts labels in as few rows as they need; the ones that fit in none keep their mark, where it covers no label, and
 * lose their text. Near the right edge a label turns to stand at the left of its mark. `first` goes first.
 */
export function placeLabels<T>(
  items: readonly { readonly item: T; readonly x: number; readonly text: string; readonly first?: boolean }[],
  rows: number,
  edges: { readonly left: number; readonly right: number },
  sizePx: number,
): Placed<T>[] {
  const taken: { from: number; to: number }[][] = Array.from({ length: rows }, () => []);
  const rowFor = (from: number, to: number): number =>
    taken.findIndex((row) => !row.some((one) => from < one.to && to > one.from));
  const placed = new Map<T, Placed<T>>();
  const inOrder = [...items].sort((a, b) => Number(b.first ?? false) - Number(a.first ?? false) || a.x - b.x);
  for (const { item, x, text } of inOrder) {
    const width = textWidth(text, sizePx) + 20;
    const sides = [
      { anchor: 'start' as const, from: x - MARK_PX, to: x + width },
      { anchor: 'end' as const, from: x - width, to: x + MARK_PX },
    ].filter((side) => side.from >= edges.left - MARK_PX && side.to <= edges.right + MARK_PX);
    const side = sides.find((one) => rowFor(one.from, one.to) >= 0);
    const span = side ?? { anchor: 'start' as const, from: x - MARK_PX, to: x + MARK_PX };
    let row = rowFor(span.from, span.to);
    // What fits nowhere goes to one last row of bare marks, which may stand close but cover no label.
    if (row < 0) row = rows;
    taken[row]?.push(span);
    placed.set(item, { item, x, row, text: side ? text : '', anchor: span.anchor });
  }
  return items.flatMap((one) => placed.get(one.item) ?? []);
}

/** Half the width a mark needs to itself. */
const MARK_PX = 11;

/** Keeps a window inside the run and no shorter than `leastMs`. */
export function clampWindow(
  fromMs: number,
  toMs: number,
  run: { readonly fromMs: number; readonly toMs: number },
  leastMs = 10_000,
): { fromMs: number; toMs: number } {
  const whole = run.toMs - run.fromMs;
  const span = Math.min(whole, Math.max(Math.min(leastMs, whole), toMs - fromMs));
  const from = Math.min(Math.max(run.fromMs, fromMs), run.toMs - span);
  return { fromMs: from, toMs: from + span };
}

/** Zooms by a factor (below 1 = closer) around a moment that stays where it is. */
export function zoomAround(
  window: { readonly fromMs: number; readonly toMs: number },
  aboutMs: number,
  factor: number,
  run: { readonly fromMs: number; readonly toMs: number },
): { fromMs: number; toMs: number } {
  const about = Math.min(Math.max(aboutMs, window.fromMs), window.toMs);
  return clampWindow(about - (about - window.fromMs) * factor, about + (window.toMs - about) * factor, run);
}
