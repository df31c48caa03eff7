/**
 * One swept trace on a canvas. The pen moves left to right with the run clock and a gap moves ahead of it; each pixel
 * column is drawn once, from the least to the greatest of the samples in it, so no peak falls between two pixels.
 */
import { envelope, type Columns } from '@breathline/signals';

/** How a trace looks: scale, and what sets it apart besides its colour. */
export interface TraceLook {
  /** Values at the foot and the top. */
  readonly low: number;
  readonly high: number;
  /** CSS pixels. */
  readonly lineWidth: number;
  /** Shade down to this value, or null for a bare line. */
  readonly fillTo: number | null;
  /** Faint level lines. */
  readonly levels: readonly number[];
}

/** Gap ahead of the pen, CSS pixels. */
const GAP_PX = 22;
/** A jump of the clock past this leaves a gap, not an invented stretch of trace, ms. */
const JUMP_MS = 1500;
const CSS_PX_PER_S = 150;

/** Seconds across a trace of a width: even speed on all screens, but never too short to see a breath. */
export function secondsAcross(widthPx: number): number {
  return Math.min(12, Math.max(5, widthPx / CSS_PX_PER_S));
}

/** Points of a polyline through columns: entry, least, greatest, exit, in pixels. Pure. */
export function columnPoints(
  columns: Columns,
  firstX: number,
  toY: (value: number) => number,
): readonly (readonly [number, number])[] {
  const points: [number, number][] = [];
  for (let c = 0; c * 4 < columns.length; c += 1) {
    const x = firstX + c;
    const entry = columns[c * 4]!;
    const least = columns[c * 4 + 1]!;
    const greatest = columns[c * 4 + 2]!;
    const exit = columns[c * 4 + 3]!;
    points.push([x, toY(entry)]);
    // The nearer extreme first, so that the line does not cross itself.
    const rising = exit >= entry;
    if (least < Math.min(entry, exit) || greatest > Math.max(entry, exit)) {
      points.push([x + 0.5, toY(rising ? least : greatest)], [x + 0.5, toY(rising ? greatest : least)]);
    }
    points.push([x + 1, toY(exit)]);
  }
  return points;
}

export class Sweep {
  readonly #canvas: HTMLCanvasElement;
  readonly #context: CanvasRenderingContext2D | null;
  readonly #sample: (atMs: number) => number;
  #look: TraceLook;
  #colour = '#888';
  #faint = '#444';
  #width = 0;
  #height = 0;
  #scale = 1;
  #columnMs = 10;
  /** Absolute number of the last column drawn; null before the first. */
  #column: number | null = null;
  /** Last absolute column wiped clean ahead of the pen. */
  #wiped = 0;
  /** Nothing is drawn from before this (the device was not on). */
  #sinceMs: number | null = null;

  constructor(canvas: HTMLCanvasElement, sample: (atMs: number) => number, look: TraceLook) {
    this.#canvas = canvas;
    this.#context = canvas.getContext('2d');
    this.#sample = sample;
    this.#look = look;
  }

  /** Columns drawn since the start, for tests. */
  drawn = 0;

  /** Fits the canvas to its box; returns true when it changed and must be redrawn. */
  fit(widthPx: number, heightPx: number, pixelRatio: number): boolean {
    const scale = Math.min(2, Math.max(1, pixelRatio));
    const width = Math.max(1, Math.round(widthPx * scale));
    const height = Math.max(1, Math.round(heightPx * scale));
    if (width === this.#width && height === this.#height && scale === this.#scale) return false;
    this.#width = this.#canvas.width = width;
    this.#height = this.#canvas.height = height;
    this.#scale = scale;
    this.#columnMs = (secondsAcross(widthPx) * 1000) / width;
    this.#column = null;
    return true;
  }

  /** Sets colours; redraw after. */
  dress(colour: string, faint: string, look: TraceLook): void {
    this.#colour = colour;
    this.#faint = faint;
    this.#look = look;
  }

  /** Draws all of it again at the next sweep. */
  refresh(): void {
    this.#column = null;
  }

  /** Forgets what was drawn and when the device came on. */
  clear(): void {
    this.#context?.clearRect(0, 0, this.#width, this.#height);
    this.#column = null;
    this.#sinceMs = null;
  }

  #toY = (value: number): number => {
    const { low, high } = this.#look;
    const pad = this.#look.lineWidth * this.#scale;
    const share = (value - low) / (high - low);
    return pad + (1 - Math.min(1.02, Math.max(-0.02, share))) * (this.#height - 2 * pad);
  };

  #pen(context: CanvasRenderingContext2D): void {
    context.lineWidth = this.#look.lineWidth * this.#scale;
    context.lineJoin = 'round';
    context.lineCap = 'round';
    context.strokeStyle = this.#colour;
    context.fillStyle = this.#colour;
  }

  /** Faint level lines over a stretch. */
  #levels(context: CanvasRenderingContext2D, x: number, width: number): void {
    if (this.#look.levels.length === 0) return;
    context.fillStyle = this.#faint;
    for (const level of this.#look.levels) {
      context.fillRect(x, Math.round(this.#toY(level)), width, Math.max(1, Math.round(this.#scale)));
    }
  }

  /** Draws columns first..last (absolute numbers) starting at pixel x; they must not wrap. */
  #stretch(context: CanvasRenderingContext2D, first: number, last: number, x: number): void {
    const count = last - first + 1;
    if (count <= 0) return;
    const columns = envelope(this.#sample, first * this.#columnMs, this.#columnMs, count);
    const points = columnPoints(columns, x, this.#toY);
    this.#levels(context, x, count);
    this.#pen(context);
    if (this.#look.fillTo !== null) {
      const floor = this.#toY(this.#look.fillTo);
      context.globalAlpha = 0.22;
      context.beginPath();
      context.moveTo(x, floor);
      for (const [px, py] of points) context.lineTo(px, py);
      context.lineTo(x + count, floor);
      context.fill();
      context.globalAlpha = 1;
    }
    context.beginPath();
    points.forEach(([px, py], i) => (i === 0 ? context.moveTo(px, py) : context.lineTo(px, py)));
    context.stroke();
    this.drawn += count;
  }

  /** Draws absolute columns first..last in their places, wrapping at the right edge. */
  #columns(context: CanvasRenderingContext2D, first: number, last: number): void {
    let from = first;
    while (from <= last) {
      const x = from % this.#width;
      const to = Math.min(last, from + (this.#width - x) - 1);
      this.#stretch(context, from, to, x);
      from = to + 1;
    }
  }

  #erase(context: CanvasRenderingContext2D, first: number, last: number): void {
    const count = Math.min(this.#width, last - first + 1);
    if (count <= 0) return;
    const x = first % this.#width;
    const run = Math.min(count, this.#width - x);
    context.clearRect(x, 0, run, this.#height);
    if (run < count) context.clearRect(0, 0, count - run, this.#height);
  }

  /** Moves the pen to a run-clock time. Cheap when called at every display frame. */
  sweepTo(headMs: number): void {
    const context = this.#context;
    if (!context || headMs < 0) return;
    const head = Math.floor(headMs / this.#columnMs) - 1;
    this.#sinceMs ??= headMs;
    if (this.#column === null || this.#column > head + this.#width) {
      // First time, or after a change of size: what is already past is drawn again from the signal itself.
      context.clearRect(0, 0, this.#width, this.#height);
      const gap = Math.ceil(GAP_PX * this.#scale);
      // A little past the gap, since a line's round end reaches back over its first column.
      const oldest = Math.max(Math.ceil(this.#sinceMs / this.#columnMs), head - this.#width + gap + 4);
      this.#column = oldest - 1;
      this.#wiped = head + gap;
      if (head >= oldest) {
        this.#columns(context, oldest, head);
        this.#column = head;
      }
      return;
    }
    if (head <= this.#column) return;
    const gap = Math.ceil(GAP_PX * this.#scale);
    // Only what comes newly into the gap: wiping beside the pen would cut the edge of the line just drawn.
    this.#erase(context, Math.max(this.#column + 1, this.#wiped + 1), head + gap);
    this.#wiped = head + gap;
    const jumped = (head - this.#column) * this.#columnMs > JUMP_MS;
    if (!jumped) this.#columns(context, this.#column + 1, head);
    this.#column = head;
  }

  /** A still picture of the last stretch, newest at the right: for people who asked for less motion. */
  still(headMs: number): void {
    const context = this.#context;
    if (!context || headMs < 0) return;
    this.#sinceMs ??= headMs;
    const head = Math.floor(headMs / this.#columnMs) - 1;
    const oldest = Math.max(Math.ceil(this.#sinceMs / this.#columnMs), head - this.#width + 1);
    context.clearRect(0, 0, this.#width, this.#height);
    if (head >= oldest) this.#stretch(context, oldest, head, this.#width - (head - oldest + 1));
    this.#column = null;
  }
}
