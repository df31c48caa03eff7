/** Where everything on the timeline goes, for a width. Pixels from the top left of the drawing. */
import { scaleLinear } from 'd3-scale';
import {
  clockText,
  type TimelineMark,
  type TimelineModel,
  type TimelineMoment,
  type TimelinePanel,
  type TimelineTarget,
} from '@breathline/debrief';
import { clip, dodge, placeLabels, textWidth, wrap, type Placed, type Scale } from './draw.ts';

export interface Window {
  readonly fromMs: number;
  readonly toMs: number;
}

export interface LaneLayout {
  readonly id: string;
  readonly title: string;
  readonly top: number;
  readonly height: number;
  readonly marks: readonly Placed<TimelineMark>[];
  /** Rows of marks, without the key under them. */
  readonly markRows: number;
  /** Words of numbered marks, in columns under them; empty where words stand beside the marks. */
  readonly key: readonly KeyLine[];
}

/** One line of a lane's key: "3  4:10 Adrenaline IM 300 micrograms". */
export interface KeyLine {
  readonly item: TimelineMark;
  readonly n: number;
  readonly x: number;
  readonly y: number;
  /** Its words, in a second line where one is too short. */
  readonly lines: readonly string[];
}

/** Text and row heights, px. A wall's are larger, and what does not fit is left out, never shrunk. */
export interface Sizes {
  readonly small: number;
  readonly label: number;
  readonly dose: number;
  readonly gap: number;
  readonly now: number;
  readonly row: number;
  readonly state: number;
  readonly moment: number;
  readonly target: number;
  readonly axis: number;
}

/** A phone and a small tablet, held in the hand. */
const HAND: Sizes = {
  small: 13,
  label: 14,
  dose: 16,
  gap: 19,
  now: 26,
  row: 26,
  state: 30,
  moment: 18,
  target: 40,
  axis: 24,
};
/** A desk, at an arm's length: nothing under 16 px. */
const DESK: Sizes = {
  small: 16,
  label: 16,
  dose: 17,
  gap: 20,
  now: 26,
  row: 28,
  state: 32,
  moment: 21,
  target: 44,
  axis: 28,
};
/** From this width on a drawing stands on a desk, px. */
export const DESK_WIDTH = 1200;
const WALL: Sizes = {
  small: 19,
  label: 19,
  dose: 19,
  gap: 22,
  now: 28,
  row: 30,
  state: 34,
  moment: 24,
  target: 44,
  axis: 30,
};

export interface PanelLayout {
  readonly panel: TimelinePanel;
  readonly top: number;
  readonly height: number;
  readonly y: Scale;
}

export interface TargetLayout {
  readonly target: TimelineTarget;
  readonly top: number;
  /** Its name; without a margin beside the plot these stand over the bar. */
  readonly lines: readonly string[];
}

export interface ChartLayout {
  readonly wide: boolean;
  readonly sizes: Sizes;
  readonly width: number;
  readonly height: number;
  readonly left: number;
  readonly right: number;
  readonly x: Scale;
  readonly timeAt: (px: number) => number;
  readonly axisTop: number;
  readonly momentsTop: number;
  readonly moments: readonly Placed<TimelineMoment>[];
  readonly states: readonly { readonly id: string; readonly title: string; readonly top: number }[];
  readonly treatments: LaneLayout;
  readonly panelsTop: number;
  readonly panels: readonly PanelLayout[];
  readonly panelsBottom: number;
  readonly targetsTop: number;
  readonly targets: readonly TargetLayout[];
  readonly lanes: readonly LaneLayout[];
}

/**
 * A wall is read from further off than a desk. Its drawing is laid out this wide and then enlarged to the wall. On a wall
 * of 1920 px (1843 inside its margins) words, numbers and times are 28.2 px high; a capital is 0.7 of that (from memory),
 * 20 px. On a screen 1.2 m wide (55 inches) that is 12.5 mm, from 5 m away 8.6 minutes of arc. An eye of 6/6 reads a
 * letter of 5 minutes (the definition of the chart letter, after Snellen), one of 6/9 a letter of 7.5. At 1366 px they
 * are 20.1 px.
 */
export const WALL_WIDTH = 1240;

/** How much a drawing this wide on a wall is enlarged. */
export const wallScale = (width: number): number => Math.max(0.8, width / WALL_WIDTH);

/** Left and right edges of the plot: names stand left of it, readings and results right. */
export function plotEdges(width: number, glance = false): { readonly left: number; readonly right: number } {
  const [before, after] =
    width >= 1500 && !glance
      ? [330, 200]
      : width >= DESK_WIDTH && !glance
        ? [264, 200]
        : width >= 860
          ? [214, 182]
          : [4, 4];
  return { left: before, right: Math.max(before + 60, width - after) };
}

/**
 * Lays the whole picture out. `width` is the drawing's width in CSS pixels. `glance`: what a room needs from afar, in this
 * height: without the lanes of looks, cues and notes, and only as many vitals and targets as fit with their words large.
 */
export function layOut(
  model: TimelineModel,
  window: Window,
  width: number,
  glance: { readonly height: number } | null = null,
): ChartLayout {
  const wide = width >= 860;
  const big = width >= 1500 && glance === null;
  const sizes = glance ? WALL : width >= DESK_WIDTH ? DESK : HAND;
  const { left, right } = plotEdges(width, glance !== null);
  const scale = scaleLinear([window.fromMs, window.toMs], [left, right]);
  const x: Scale = (value) => scale(value);
  const inside = (atMs: number) => atMs >= window.fromMs && atMs <= window.toMs;
  let top = 0;

  const momentsTop = top;
  const shownMoments = model.moments.filter((one) => one.id !== 'arrival' && one.id !== 'end' && inside(one.atMs));
  const moments = placeLabels(
    shownMoments.map((one) => ({
      item: one,
      x: x(one.atMs),
      text: momentText(one),
      first: one.id === 'could-have-seen' || one.id === 'key-step',
    })),
    2,
    { left, right },
    sizes.label,
  );
  top += 2 * sizes.moment + 20;
  const axisTop = top;
  top += sizes.axis;

  const states = model.threads.map((thread) => {
    if (!wide) top += 18;
    const at = { id: thread.id, title: model.threads.length === 1 ? 'State' : thread.title, top };
    top += sizes.state + 4;
    return at;
  });

  const lane = (id: string, title: string, marks: readonly TimelineMark[], rows: number, size: number): LaneLayout => {
    const shown = marks.filter((one) => inside(one.atMs));
    const placed = placeLabels(
      shown.map((one) => ({
        item: one,
        x: x(one.atMs),
        text: id === 'treatments' ? one.label : clip(one.label, laneRoom(id, width), sizes.label),
        first: one.warn || one.kind === 'drug' || one.kind === 'fluid',
      })),
      rows,
      { left, right },
      size,
    );
    if (!wide) top += sizes.label + 4;
    const used = Math.max(1, ...placed.map((one) => one.row + 1));
    const height = used * sizes.row + 4;
    const out = { id, title, top, height, markRows: used, marks: placed, key: [] };
    top += height;
    return out;
  };

  /** Every treatment keeps its words: beside its mark where there is room for all, else by number in a key below. */
  const treatmentLane = (marks: readonly TimelineMark[], rows: number): LaneLayout => {
    const before = top;
    const beside = lane('treatments', 'Treatment', marks, rows, sizes.dose);
    if (beside.marks.every(({ text }) => text !== '')) return beside;
    top = before + (wide ? 0 : sizes.label + 4);
    const shown = marks.filter((one) => inside(one.atMs)).sort((a, b) => a.atMs - b.atMs);
    const places = dodge(
      shown.map((one) => x(one.atMs)),
      { left: left + sizes.row / 2, right: right - sizes.row / 2 },
      sizes.row,
    );
    const stood = shown.map((item, index): Placed<TimelineMark> => {
      const { x: at, row } = places[index] ?? { x: x(item.atMs), row: 0 };
      return { item, x: at, row, text: '', anchor: 'start', trueX: x(item.atMs), n: index + 1 };
    });
    const markRows = Math.max(1, ...stood.map(({ row }) => row + 1));
    const words = shown.map((item) => `${clockText(item.atMs)} ${item.label}`);
    const widest = Math.max(...words.map((one) => textWidth(one, sizes.dose))) + sizes.dose * 2.2;
    const columns = Math.max(1, Math.min(3, Math.floor((right - left) / widest)));
    const column = (right - left) / columns;
    const each = Math.ceil(words.length / columns);
    const line = sizes.dose + 6;
    const keyTop = top + markRows * sizes.row + 8;
    let y = keyTop + sizes.dose;
    const key = shown.map((item, index): KeyLine => {
      // What is wider than the only column goes on in a second line.
      const lines = wrap(words[index] ?? '', column - sizes.dose * 2, sizes.dose, 2);
      if (index > 0 && index % each === 0) y = keyTop + sizes.dose;
      const out = { item, n: index + 1, x: left + Math.floor(index / each) * column, y, lines };
      y += lines.length * line;
      return out;
    });
    const bottom = Math.max(...key.map((one) => one.y + (one.lines.length - 1) * line)) + 6;
    const out = { id: 'treatments', title: 'Treatment', top, height: bottom - top, markRows, marks: stood, key };
    top += out.height + 4;
    return out;
  };

  top += 4;
  const isTreatment = (one: TimelineMark) => one.kind === 'oxygen' || one.kind === 'procedure' || one.warn;
  const treated = [...model.doses, ...model.acts.filter(isTreatment)].sort((a, b) => a.atMs - b.atMs);
  const treatments = treatmentLane(treated, big || glance ? 3 : 6);

  top += 8;
  const panelsTop = top;
  const fitted = glance ? fitHeight(model, glance.height - top, sizes, wide) : null;
  const panelHeight = fitted?.panel ?? (big ? 116 : wide ? 96 : 78);
  const panels = model.panels.slice(0, fitted?.panels ?? model.panels.length).map((panel): PanelLayout => {
    if (!wide) top += sizes.label + 6;
    const y = scaleLinear(panel.domain as [number, number], [top + panelHeight, top]);
    const out = { panel, top, height: panelHeight, y: (value: number) => y(value) };
    top += panelHeight + 14;
    return out;
  });
  const panelsBottom = top - 14;

  top += sizes.gap + 11;
  const targetsTop = top;
  const asked = model.targets.slice(0, fitted?.targets ?? model.targets.length);
  if (asked.length > 0) top += sizes.label + (wide && !glance ? 18 : 10);
  const targets = asked.map((target): TargetLayout => {
    const room = wide ? left - 12 : right - left - OUTCOME_ROOM;
    const lines = wrap(target.says, room, sizes.label, wide ? 2 : glance ? 1 : 4);
    if (!wide) top += lines.length * (sizes.label + 4);
    const out = { target, top, lines };
    top += sizes.target;
    return out;
  });

  top += 10;
  const rest = model.acts.filter((one) => !isTreatment(one));
  const lanes = glance
    ? []
    : [
        lane('assessments', 'Looked at', model.assessments, 3, sizes.label),
        ...(model.results.length > 0 ? [lane('results', 'Results back', model.results, 3, sizes.label)] : []),
        lane('acts', 'Calls and other acts', rest, 4, sizes.label),
        lane('cues', 'Cues spoken', model.cues, 3, sizes.label),
        lane('notes', 'Notes and marks', model.notes, 5, sizes.label),
      ];

  return {
    wide,
    sizes,
    width,
    height: top + 8,
    left,
    right,
    x,
    timeAt: (px) => scale.invert(px),
    axisTop,
    momentsTop,
    moments,
    states,
    treatments,
    panelsTop,
    panels,
    panelsBottom,
    targetsTop,
    targets,
    lanes,
  };
}

/** What came of a target stands at the end of its name's row where there is no margin: "10 min 26 s in hand", px. */
const OUTCOME_ROOM = 146;

/** A vital is drawn no lower than this where another, or a target, can give way; the three that matter most go on lower. */
const LEAST_PANEL = 48;
/** Lower than this a vital tells nothing, and what stands under it would fall off the wall. */
const FLOOR_PANEL = 30;
const MOST_PANEL = 130;
const KEPT_PANELS = 3;
const BETWEEN_PANELS = 14;

/** How much of a wall's height each vital gets, and how many vitals and targets there is room for. */
function fitHeight(
  model: TimelineModel,
  height: number,
  sizes: Sizes,
  wide: boolean,
): { readonly panel: number; readonly panels: number; readonly targets: number } {
  const foot = sizes.gap + 11 + 18;
  // Where there is no margin beside the plot, names stand in rows of their own.
  const [panelName, targetName] = wide ? [0, 0] : [sizes.label + 6, sizes.label + 4];
  const each = (panels: number, targets: number): number =>
    (height - foot - (targets > 0 ? sizes.label + 10 + targets * (sizes.target + targetName) : 0)) / panels -
    BETWEEN_PANELS -
    panelName;
  let panels = model.panels.length;
  while (panels > KEPT_PANELS && each(panels, 0) < LEAST_PANEL) panels--;
  while (panels > 1 && each(panels, 0) < FLOOR_PANEL) panels--;
  let targets = model.targets.length;
  while (targets > 0 && each(panels, targets) < LEAST_PANEL) targets--;
  return { panel: Math.max(FLOOR_PANEL, Math.min(MOST_PANEL, each(panels, targets))), panels, targets };
}

function momentText(one: TimelineMoment): string {
  return one.fault === undefined ? one.label : `! ${one.label}: ${one.fault}`;
}

/** How wide the words of a mark may be, px: on a desk what the group wrote down is mostly read whole. */
function laneRoom(lane: string, width: number): number {
  if (lane === 'notes' && width >= DESK_WIDTH) return 560;
  return width >= 860 ? 320 : 190;
}

/** Every moment worth stopping at, in order, for stepping through with the keys. */
export function stops(model: TimelineModel): readonly { readonly atMs: number; readonly text: string }[] {
  const marks = [model.doses, model.acts, model.assessments, model.results, model.cues, model.notes].flat();
  const states = model.threads.flatMap((thread) =>
    thread.states.map((state) => ({ atMs: state.fromMs, text: `State: ${state.title}` })),
  );
  const moments = model.moments.map((one) => ({ atMs: one.atMs, text: one.label }));
  // A mark's words begin with its time, which a list and a voice give already.
  const bare = marks.map(({ atMs, text, by }) => ({
    atMs,
    text: `${text.replace(/^\d+:\d\d /, '')}${by ? `, by ${by}` : ''}`,
  }));
  return [...bare, ...states, ...moments].sort((a, b) => a.atMs - b.atMs);
}
